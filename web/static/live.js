// The page answers back: after every key the form is posted, and the parts of
// the answer that differ take the place of the old ones. What one types is
// never replaced, so focus, caret and half a number stay, however late the
// answer comes. All chemistry is on the server; without this file the same form
// works by its button.

const form = document.querySelector('form[data-live]');
const running = {};
let touched = false; // something was typed or pressed

// ask posts the form and returns the answering page and what was posted, or
// null when nobody answered or a later question of its kind took its place.
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
    if (whole && touched && form.dataset.live === 'address') intoAddress(body);
    return whole ? {doc, body} : null;
  } catch (e) {
    if (e.name !== 'AbortError') form.setAttribute('data-cut-off', '');
    return null;
  } finally {
    clearTimeout(slow);
    if (running[kind] === own) form.removeAttribute('aria-busy');
  }
}

// intoAddress writes what was asked into the address, so that one comes back to
// it from another page.
function intoAddress(body) {
  const said = new URLSearchParams();
  for (const [name, value] of body) {
    if (value && !/^(do|undo.*|undone|pick\..*)$/.test(name)) said.append(name, value);
  }
  for (const [choice, key] of [['pick.minimise', 'r.objective.minimise']]) said.set(key, body.get(choice));
  history.replaceState(history.state, '', `${location.pathname}?${said}`);
}

// written lists the lines of a list that were posted with something in them:
// the server drops the others and numbers the rest anew.
function written(body, list) {
  const lines = new Set();
  for (const [name, value] of body) {
    const m = name.match(/^r\.(\w+)\.(\d+)\.(\w+)$/);
    if (m && m[1] === list && m[3] !== 'when' && value.trim()) lines.add(Number(m[2]));
  }
  return [...lines].sort((a, b) => a - b);
}

const listOfPart = {sap: 'fats', weigh: 'fats', shelf: 'fats', cost: 'fats', tools: 'fats', addinfo: 'additions', extras: 'additions', aweigh: 'additions', ashelf: 'additions', atools: 'additions'};

// swapParts puts the answer's parts in place.
function swapParts({doc, body}) {
  const lines = {fats: written(body, 'fats'), additions: written(body, 'additions')};
  for (const part of doc.querySelectorAll('[data-part]:not([data-later])')) {
    let name = part.dataset.part;
    const [, kind, at] = name.match(/^(\w+)-(\d+)$/) ?? [];
    if (kind in listOfPart) {
      const now = lines[listOfPart[kind]][at];
      if (now === undefined) continue;
      if (now !== Number(at)) renumber(part, listOfPart[kind], at, now);
      name = `${kind}-${now}`;
    }
    const old = form.querySelector(`[data-part="${CSS.escape(name)}"]`);
    if (!old || old.innerHTML === part.innerHTML) continue;
    if (old.contains(document.activeElement)) keepFocus(old, part);
    else old.innerHTML = part.innerHTML;
  }
  for (const list of ['fats', 'additions']) {
    tellNames(doc, body, list, lines[list]);
    grow(doc, list, lines[list]);
  }
  markFaults();
}

function renumber(part, list, from, to) {
  part.innerHTML = part.innerHTML.replaceAll(`r.${list}.${from}.`, `r.${list}.${to}.`).replaceAll(`lock.${from}"`, `lock.${to}"`).replaceAll(`:${list}.${from}"`, `:${list}.${to}"`);
}

const nameField = (root, list, i) => root.querySelector(`[name="r.${list}.${i}.material"]`);

// tellNames writes a material's whole name where part of it was typed and the
// caret has gone on.
function tellNames(doc, body, list, lines) {
  lines.forEach((now, i) => {
    const told = nameField(doc, list, i), field = nameField(form, list, now);
    if (told && field && field !== document.activeElement && field.value === body.get(field.name)) field.value = told.value;
  });
}

// grow adds an empty line once the last one is written in.
function grow(doc, list, lines) {
  const rows = form.querySelectorAll(`[name^="r.${list}."][name$=".material"]`);
  const last = rows.length - 1, next = nameField(doc, list, lines.length);
  if (!next || lines.at(-1) !== last || lines.length !== rows.length) return;
  rows[last].closest('tr').after(document.importNode(next.closest('tr'), true));
}

// markFaults shows at each field whether something is wrong with it.
function markFaults() {
  for (const fault of form.querySelectorAll('label > .fault')) {
    mark(fault.parentElement.querySelector('input, select'), fault.textContent);
  }
  for (const field of form.querySelectorAll('td.what > input')) {
    const wrong = field.parentElement.querySelector('.fault')?.textContent ?? '';
    mark(field, wrong);
    field.closest('tr').classList.toggle('wrong', wrong !== '');
  }
}

function mark(field, wrong) {
  if (wrong) field.setAttribute('aria-invalid', 'true');
  else field.removeAttribute('aria-invalid');
}

// keepFocus swaps something that holds the focus; what is being typed in it
// keeps its text and caret.
function keepFocus(old, fresh) {
  const active = document.activeElement, {name, value} = active;
  const typed = active.matches('input[type=text], input:not([type]), textarea') ? [active.selectionStart, active.selectionEnd] : null;
  if (old.contains(active) && fresh !== old) old.innerHTML = fresh.innerHTML;
  refocus(old, name, value, typed);
}

function refocus(root, name, value, typed) {
  if (!name) return;
  const same = [...root.querySelectorAll(`[name="${CSS.escape(name)}"]`)];
  const field = same.length > 1 || same[0]?.type === 'submit' ? same.find((f) => f.value === value) : same[0];
  if (!field) return;
  if (typed) field.value = value;
  field.focus({preventScroll: true});
  if (typed) field.setSelectionRange(...typed);
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
      const answer = await ask(what, 'later');
      if (!answer) return;
      swapParts(answer);
      for (const part of slowParts()) part.classList.remove('old');
    }
  }, 400);
}

function slowParts() { return form.querySelectorAll('[data-part^="heat"], [data-part="rail-heat"], [data-slow]'); }

// work asks for the parts of the page after a key. While a button's answer is
// awaited it does not: that answer is followed by the keys typed meanwhile.
async function work() {
  if (pressing > 0) return;
  later();
  const answer = await ask('work');
  if (answer) swapParts(answer);
}

let pressing = 0, presses = Promise.resolve();

// press posts the form with a button that changes it, one after the other, and
// takes the whole answer, because lines may have gone or moved.
function press(button) {
  touched = true;
  pressing++;
  presses = presses.then(() => pressNow(button)).finally(() => { pressing--; });
  return presses;
}

async function pressNow(button) {
  // Lines may change their numbers: until the answer nobody types in them.
  const lines = form.querySelectorAll('input[name^="r.fats."], input[name^="r.additions."]');
  for (const line of lines) line.readOnly = true;
  const answer = await ask(button.value);
  if (!answer) {
    for (const line of lines) line.readOnly = false;
    return;
  }
  const typed = [...new FormData(form)].filter(([name, value]) => name !== 'do' && (answer.body.get(name) ?? '') !== value);
  const active = document.activeElement, {name, value} = active, slow = [...slowParts()], scroll = window.scrollY;
  const caret = active.matches('input[type=text], input:not([type]), textarea') ? [active.selectionStart, active.selectionEnd] : null;
  form.replaceChildren(...answer.doc.querySelector('form[data-live]').childNodes);
  for (const old of slow) form.querySelector(`[data-part="${old.dataset.part}"][data-later]`)?.replaceWith(old);
  for (const [field, text] of typed) {
    const fresh = form.querySelector(`[name="${CSS.escape(field)}"]`);
    if (fresh && fresh.type !== 'checkbox') fresh.value = text;
  }
  window.scrollTo(0, scroll);
  refocus(form, name, value, /^r\.(fats|additions)\./.test(name) || /^(fix:|undo)/.test(button.value) ? null : caret);
  if (document.activeElement === document.body) form.querySelector('.finding.done button')?.focus({preventScroll: true});
  later();
  if (typed.length === 0) return;
  const after = await ask('work');
  if (after) swapParts(after);
}

function start() {
  document.documentElement.classList.add('js');
  later();
  let changed = false;
  form.addEventListener('input', (e) => {
    changed = touched = true;
    const name = e.target.name ?? '';
    if (name === 'reason' || name.startsWith('lock.') || name.startsWith('pick.') || name === 'size.by') return;
    work();
  });
  form.addEventListener('change', (e) => {
    const name = e.target.name ?? '';
    if (name.startsWith('pick.')) press({value: 'pick'});
    else if (name === 'size.by') press({value: 'resize'});
    else if (name.endsWith('.material')) work(); // the whole name, now that the caret goes on
  });
  form.addEventListener('keydown', (e) => {
    if (e.key === 'Enter' && e.target.name === 'reason') {
      e.preventDefault();
      form.requestSubmit(form.querySelector('.save button.main'));
    }
    if (e.key === 'Tab' && !e.shiftKey && e.target.matches('td.what > input')) { // past the evidence, to the amount
      e.preventDefault();
      e.target.closest('tr').querySelector('td:not(.what) input').focus();
    }
  });
  form.addEventListener('submit', (e) => {
    const button = e.submitter, value = button?.value ?? 'work';
    if (button?.hasAttribute('data-plain')) return; // a file to download
    if (value === 'save' || value === 'branch') { // save.js does that
      changed = false;
      form.removeAttribute('data-unsaved');
      return;
    }
    changed = true;
    e.preventDefault();
    if (value === 'work') work(); else press(button);
  });
  window.addEventListener('beforeunload', (e) => { if (form.dataset.live !== 'address' && (changed || form.hasAttribute('data-unsaved'))) e.preventDefault(); });
  form.addEventListener('not-saved', later);
}

if (form) start();
