// Forms, their steppers, and what the worker keeps of the bench.

// dataOf reads a form as an action; null when a number is none.
export function dataOf(form) {
  const data = {};
  for (const [name, value] of new FormData(form)) {
    const [kind, key] = name.split(/\.(.*)/s);
    if (kind === 's') data[key] = value;
    if (kind === 'l') data[key] = [...(data[key] ?? []), value];
    if (kind === 'n') {
      data[key] = Number(value.trim().replace(',', '.').replace('\u2212', '-'));
      if (value.trim() === '' || Number.isNaN(data[key])) return null;
    }
  }
  return data;
}

export function changed(input) {
  input.dataset.dirty = '';
  const big = input.closest('.screen').querySelector('.do .value input') === input && input.closest('.screen').querySelector('[data-number]');
  if (big) big.textContent = input.value;
}

// step changes a number by a button.
export function step(button) {
  const input = button.closest('[data-steps]').querySelector('.value input');
  input.value = Math.round(1000 * Math.max(-40, Number(input.value.replace(',', '.')) + Number(button.dataset.by))) / 1000;
  changed(input);
}

// stock puts this page and what it is made of where the worker finds it.
export async function stock(path) {
  const shell = await caches.open('bench-1');
  const parts = performance.getEntriesByType('resource').map((r) => r.name).filter((u) => new URL(u).pathname.startsWith('/static/'));
  await Promise.allSettled([...new Set([...parts, path, '/bench', '/bench/emergency'])].map(async (u) => { if (!await shell.match(u)) await shell.add(u); }));
  document.body.dataset.stocked = '';
}

// refresh puts the workshop's words about lye and fats in the place of older
// ones; false when there are more or fewer of them.
export function refresh(root, fresh) {
  const old = [...root.querySelectorAll('.live')], now = [...fresh.querySelectorAll('.live')];
  if (old.length !== now.length) return false;
  old.forEach((p, i) => { if (p.textContent !== now[i].textContent) p.textContent = now[i].textContent; });
  return true;
}
