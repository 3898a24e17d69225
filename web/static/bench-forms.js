// Forms, their steppers, and what the worker keeps of the bench.

// dataOf reads a form as an action; null when a number is none.
export function dataOf(form) {
  const data = {}, from = [];
  for (const [name, value] of new FormData(form)) {
    const [kind, key] = name.split(/\.(.*)/s);
    if (value.trim() === '' && form.elements[name].dataset?.start !== undefined) continue; // nobody counted that
    if (kind === 'b') data[key] = value === 'true';
    if (kind === 'f') from.push({lot: key, text: value});
    if (grams[kind]) {
      data[key] = grams[kind] * number(value);
      if (Number.isNaN(data[key])) return null;
    }
    if (kind === 's') data[key] = value;
    if (kind === 'l') data[key] = [...(data[key] ?? []), value];
    if (kind === 'n') {
      data[key] = number(value);
      if (Number.isNaN(data[key])) return null;
    }
  }
  if (from.length === 1) data.from = [{lot: from[0].lot}];
  if (from.length > 1) {
    const first = from.filter((p) => p.text !== 'rest').reduce((g, p) => g + Number(p.text), 0);
    if (first > data.g) return null;
    data.from = from.map((p) => ({lot: p.lot, g: p.text === 'rest' ? Math.round(1e4 * (data.g - first)) / 1e4 : Number(p.text)}));
  }
  return data;
}

// Units that a scale may show [g].
export const grams = {oz: 28.349523125, lb: 453.59237, kg: 1000};

function number(text) {
  const t = text.trim().replace(',', '.').replace('\u2212', '-');
  return t === '' || /^[1-9]\d{0,2},\d{3}$/.test(text.trim()) ? NaN : Number(t); // 1,440 can be read two ways
}

export function changed(input) {
  input.dataset.dirty = '';
  if (!input.closest('.do')) return;
  const big = input.closest('.screen').querySelector('.do .value input') === input && input.closest('.screen').querySelector('[data-number]');
  if (big) big.textContent = input.value;
}

// step changes a number by a button.
export function step(button) {
  const input = button.closest('[data-steps]').querySelector('.value input');
  const was = input.value.trim() === '' ? input.dataset.start ?? '0' : input.value;
  const least = input.name === 'n.c' ? -40 : 0;
  input.value = Math.round(1e4 * Math.max(least, Number(was.replace(',', '.')) + Number(button.dataset.by))) / 1e4;
  changed(input);
}

// stock puts this page and what it is made of where the worker finds it.
export async function stock(path) {
  const shell = await caches.open('bench-1');
  const parts = performance.getEntriesByType('resource').map((r) => r.name).filter((u) => new URL(u).pathname.startsWith('/static/'));
  await trim(shell);
  await Promise.allSettled([...new Set([...parts, path, '/bench', '/bench/emergency'])].map(async (u) => { if (!await shell.match(u)) await shell.add(u); }));
  document.body.dataset.stocked = '';
}

// copy keeps an open page as the workshop now has it, for a start without a
// network, and reports whether it did; where no worker is there is no such start.
export function copy(path, page) {
  if (!self.caches) return true;
  const put = caches.open('bench-1').then((shell) => shell.put(path, page)).then(() => true, () => false);
  return Promise.race([put, new Promise((late) => setTimeout(late, 3000, false))]); // nobody waits long for it
}

// The worker keeps so many pages and files, the last ones; a workshop is used
// for years.
const mostPages = 12, mostFiles = 60;

async function trim(shell) {
  const keys = await shell.keys(), isFile = (r) => new URL(r.url).pathname.startsWith('/static/'); // the oldest first
  for (const [some, most] of [[keys.filter(isFile), mostFiles], [keys.filter((r) => !isFile(r)), mostPages]]) {
    for (const old of some.slice(0, Math.max(0, some.length - most))) await shell.delete(old);
  }
}

// choose takes the lots that a form names, for the weighing that comes; it
// survives a reload like a tap does.
export function chooseLots(batch, form, by) {
  const label = (i) => i.dataset.label, lot = by?.name === 'lot' ? by : form.elements.lot;
  const first = form.elements.first_lot, amount = form.querySelector('.value input');
  const name = {fields: [[lot.value, '']], label: label(lot)};
  if (first) {
    const [unit] = amount.name.split('.'), g = number(amount.value) * (grams[unit] ?? 1);
    if (!(g >= 0)) return false;
    name.fields = [[first.value, String(g)], [lot.value, 'rest']];
    name.label = `${amount.value}\u202f${amount.nextElementSibling.textContent} of ${label(first)} and the rest of ${label(lot)}`;
  }
  const all = lots(batch);
  all[form.elements.of.value] = name;
  localStorage.setItem(`bench.lots.${batch}`, JSON.stringify(all));
  return true;
}

const lots = (batch) => JSON.parse(localStorage.getItem(`bench.lots.${batch}`) ?? '{}');

// fillLots puts the chosen lots into the forms of their weighings.
export function fillLots(root, batch) {
  for (const [step, {fields, label}] of Object.entries(lots(batch))) {
    const screen = root.querySelector(`[data-screen="${CSS.escape(step)}"]`), form = screen?.querySelector('form.do');
    if (!form) continue;
    for (const old of form.querySelectorAll('[name^="f."]')) old.remove();
    for (const [lot, text] of fields) {
      const input = document.createElement('input');
      Object.assign(input, {type: 'hidden', name: `f.${lot}`, value: text});
      form.append(input);
    }
    const title = screen.querySelector('h2');
    title.textContent = `${title.dataset.name}, ${label}`;
  }
}

// refresh puts the workshop's words about lye and fats in the place of older
// ones; false when there are more or fewer of them.
export function refresh(root, fresh) {
  const old = [...root.querySelectorAll('.live')], now = [...fresh.querySelectorAll('.live')];
  if (old.length !== now.length) return false;
  old.forEach((p, i) => { if (p.textContent !== now[i].textContent) p.textContent = now[i].textContent; });
  return true;
}
