// The page answers back: after every key the form is posted, and the parts of
// the answer that differ take the place of the old ones. Inputs are never
// touched while one types, so focus, caret and half a number stay. All
// chemistry is on the server; without this file the same form works by its
// button.

const form = document.querySelector('form[data-live]');

function swapParts(doc) {
  for (const part of doc.querySelectorAll('[data-part]:not([data-later])')) {
    const old = document.querySelector(`[data-part="${CSS.escape(part.dataset.part)}"]`);
    if (!old || old.innerHTML === part.innerHTML) continue;
    if (old.contains(document.activeElement) && document.activeElement !== document.body) {
      keepFocus(old, part);
    } else {
      old.innerHTML = part.innerHTML;
    }
  }
  for (const fault of form.querySelectorAll('label > .fault')) {
    const field = fault.parentElement.querySelector('input, select');
    if (fault.textContent) field.setAttribute('aria-invalid', 'true'); else field.removeAttribute('aria-invalid');
  }
}

// keepFocus swaps a part that holds the focus, and an input in it that is
// being typed in keeps its text and caret.
function keepFocus(old, part) {
  const active = document.activeElement;
  const name = active.name, value = active.value, start = active.selectionStart, end = active.selectionEnd;
  old.innerHTML = part.innerHTML;
  const again = name && old.querySelector(`[name="${CSS.escape(name)}"]`);
  if (!again) return;
  if ('value' in again && again.type !== 'submit') again.value = value;
  again.focus({preventScroll: true});
  if (start !== null && again.setSelectionRange && again.type === 'text') again.setSelectionRange(start, end);
}

const running = {};

// ask posts the form and returns the answering page, or null when nobody
// answered or a later question of the same kind took its place.
async function ask(what, kind = 'work') {
  running[kind]?.abort();
  const own = running[kind] = new AbortController();
  const slow = setTimeout(() => form.setAttribute('aria-busy', 'true'), 300);
  try {
    const body = new URLSearchParams(new FormData(form));
    body.set('do', what);
    const answer = await fetch(form.action, {method: 'POST', body, signal: own.signal});
    const doc = new DOMParser().parseFromString(await answer.text(), 'text/html');
    const whole = doc.querySelector('form[data-live]') !== null;
    form.toggleAttribute('data-cut-off', !whole);
    return whole ? doc : null;
  } catch (e) {
    if (e.name !== 'AbortError') form.setAttribute('data-cut-off', '');
    return null;
  } finally {
    clearTimeout(slow);
    if (running[kind] === own) form.removeAttribute('aria-busy');
  }
}

// Parts that take longer than a key come later, once the keys have paused: the
// old ones stay, marked as old, until then. A key stops what is under way.
let pause = 0;

function later() {
  clearTimeout(pause);
  running.later?.abort();
  for (const part of slowParts()) part.classList.add('old');
  pause = setTimeout(async () => {
    for (const what of form.dataset.later.split(' ')) {
      const doc = await ask(what, 'later');
      if (!doc) return;
      swapParts(doc);
      for (const part of slowParts()) part.classList.remove('old');
    }
  }, 400);
}

function slowParts() { return form.querySelectorAll('[data-part^="heat"], [data-part="rail-heat"]'); }

// work asks for the parts of the page after a key. While a button's answer is
// awaited it does not: that answer is followed by the keys typed meanwhile.
async function work() {
  if (pressing > 0) return;
  const doc = await ask('work');
  if (!doc) return;
  swapParts(doc);
  later();
}

let pressing = 0, presses = Promise.resolve();

// press posts the form with a button that changes it, one after the other, and
// takes the whole answer, because lines may have come, gone or moved.
function press(button) {
  pressing++;
  presses = presses.then(() => pressNow(button)).finally(() => { pressing--; });
  return presses;
}

async function pressNow(button) {
  const before = new FormData(form);
  const doc = await ask(button.value);
  if (!doc) return;
  const typed = [...new FormData(form)].filter(([name, value]) => before.get(name) !== value);
  const scroll = window.scrollY;
  const slow = [...slowParts()];
  form.replaceChildren(...doc.querySelector('form[data-live]').childNodes);
  for (const old of slow) form.querySelector(`[data-part="${old.dataset.part}"][data-later]`)?.replaceWith(old);
  window.scrollTo(0, scroll);
  const again = form.querySelector(`button[value="${CSS.escape(button.value)}"]`) ?? form.querySelector('.finding.done button') ?? form.querySelector('.finding button');
  again?.focus({preventScroll: true});
  for (const [name, value] of typed) {
    const field = form.querySelector(`[name="${CSS.escape(name)}"]`);
    if (field && 'value' in field) field.value = value;
  }
  later();
  if (typed.length === 0) return;
  const after = await ask('work');
  if (after) swapParts(after);
}

if (form) {
  document.documentElement.classList.add('js');
  later();
  let changed = false;
  form.addEventListener('input', (e) => {
    changed = true;
    if (e.target.name === 'reason' || e.target.name?.startsWith('lock.')) return;
    work();
  });
  form.addEventListener('change', (e) => {
    if (e.target.name?.startsWith('pick.')) press({value: 'pick'});
    else if (/^r\.(fats|additions)\.\d+\.material$/.test(e.target.name) && e.target.value) addLine(e.target);
  });
  form.addEventListener('submit', (e) => {
    const button = e.submitter;
    const value = button?.value ?? 'work';
    if (value === 'save' || value === 'branch') { changed = false; return; }
    e.preventDefault();
    if (value === 'work') work(); else press(button);
  });
  window.addEventListener('beforeunload', (e) => { if (changed) e.preventDefault(); });
}

// addLine: once the last line has a material, a new empty one comes, and the
// caret goes on to the amount.
async function addLine(input) {
  const list = input.name.split('.')[1];
  const lines = form.querySelectorAll(`input[name^="r.${list}."][name$=".material"]`);
  if (input !== lines[lines.length - 1]) return;
  await press({value: 'pick'});
  const next = input.name.replace(/\.material$/, list === 'fats' ? '.share' : '.amount');
  form.querySelector(`[name="${CSS.escape(next)}"]`)?.focus();
}

// Files may be dropped anywhere on the page that takes files.
const drop = document.querySelector('form[data-drop]');
if (drop) {
  document.documentElement.classList.add('js-drop');
  for (const name of ['dragover', 'dragleave', 'drop']) {
    document.addEventListener(name, (e) => {
      if (!e.dataTransfer?.types.includes('Files')) return;
      e.preventDefault();
      drop.classList.toggle('over', name === 'dragover');
      if (name !== 'drop' || !e.dataTransfer.files.length) return;
      drop.querySelector('input[type=file]').files = e.dataTransfer.files;
      drop.requestSubmit();
    });
  }
}
