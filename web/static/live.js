// The page answers back: after every key the form is posted, and the parts of
// the answer that differ take the place of the old ones. Inputs are never
// touched while one types, so focus, caret and half a number stay. All
// chemistry is on the server; without this file the same form works by its
// button.

const form = document.querySelector('form[data-live]');

function swapParts(doc) {
  for (const part of doc.querySelectorAll('[data-part]')) {
    const old = document.querySelector(`[data-part="${CSS.escape(part.dataset.part)}"]`);
    if (!old || old.innerHTML === part.innerHTML) continue;
    if (old.contains(document.activeElement) && document.activeElement !== document.body) {
      keepFocus(old, part);
    } else {
      old.innerHTML = part.innerHTML;
    }
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

let running = null;

async function work() {
  running?.abort();
  running = new AbortController();
  const slow = setTimeout(() => form.setAttribute('aria-busy', 'true'), 300);
  try {
    const body = new URLSearchParams(new FormData(form));
    body.set('do', 'work');
    const answer = await fetch(form.action, {method: 'POST', body, signal: running.signal});
    if (!answer.ok && answer.status !== 422) return;
    const doc = new DOMParser().parseFromString(await answer.text(), 'text/html');
    if (doc.querySelector('form[data-live]')) swapParts(doc);
  } catch (e) {
    if (e.name !== 'AbortError') form.setAttribute('data-cut-off', '');
  } finally {
    clearTimeout(slow);
    form.removeAttribute('aria-busy');
  }
}

// press posts the form with a button that changes it, and takes the whole
// answer, because lines may have come, gone or moved.
async function press(button) {
  const body = new URLSearchParams(new FormData(form));
  body.set('do', button.value);
  const answer = await fetch(form.action, {method: 'POST', body});
  const doc = new DOMParser().parseFromString(await answer.text(), 'text/html');
  const fresh = doc.querySelector('form[data-live]');
  if (!fresh) { location.reload(); return; }
  const scroll = window.scrollY;
  form.replaceChildren(...fresh.childNodes);
  window.scrollTo(0, scroll);
  const again = form.querySelector(`button[value="${CSS.escape(button.value)}"]`) ?? form.querySelector('.finding.done button') ?? form.querySelector('.finding button');
  again?.focus({preventScroll: true});
}

if (form) {
  document.documentElement.classList.add('js');
  let changed = false;
  form.addEventListener('input', (e) => {
    changed = true;
    if (e.target.name === 'reason') return;
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
