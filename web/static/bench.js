// The bench: a tap is kept on this device, then shown, then sent. Without this
// file every button is a form.

import {keep, kept, told, forget, send, patient} from './bench-taps.js';
import {apply, show, said, panelOpen, openPanel} from './bench-screens.js';
import {aim, tick, wake, now, setAhead, asking, corrected, hear, missing, words, sound} from './bench-clock.js';
import {dataOf, changed, step, stock, copy, refresh, chooseLots, fillLots} from './bench-forms.js';

let root = document.getElementById('bench');
const batch = root?.dataset.batch, path = `/bench/${batch}`;
const recent = []; // own taps that can be undone: id, screen, when
const reopened = new Set();
let taps = [], state = null, shown = null, lastStamp = -Infinity, cutOff = false, awaySaid = '', notKept = '';
let answered = {at: '', text: ''}; // why the last tap on a screen was not taken
let inPage = new Set(), copied = {by: '', when: -Infinity}; // taps the workshop's page shows; of the copy that is kept

async function draw(panel = panelOpen()) {
  openPanel(panel); // before anything is waited for: a call for help comes first
  taps = await kept(batch);
  fillLots(root, batch);
  state = apply(newTaps(), reopened);
  aim(state);
  shown = show(state);
  beat();
  tell();
}

const nameOf = (screen) => screen?.dataset.screen ?? screen?.dataset.panel;

// tell says under the screen how its taps fare.
function tell() {
  const wait = taps.filter((t) => !t.sent && !t.refused && t.event.kind !== 'clock').length, lost = taps.filter((t) => t.refused).length;
  const news = [cutOff && wait ? `${wait} ${wait === 1 ? 'tap waits' : 'taps wait'} on this device` : '', lost ? `${lost} could not be taken: ${taps.find((t) => t.refused).refused}` : '', awaySaid, notKept].filter(Boolean).join('. ');
  const text = [said(state, shown), answered.at === nameOf(shown) ? answered.text : '', news].filter(Boolean).join(' ');
  const line = shown.querySelector('[data-told]');
  if (line && line.textContent !== text) line.textContent = text; // the same words are not read out again
  document.body.dataset.waiting = wait;
}

// answer says why a tap was not taken, as long as its screen is there.
function answer(text) {
  answered = {at: nameOf(shown), text};
  if (!shown) return;
  tell();
  shown.querySelector('[data-told]')?.scrollIntoView({block: 'nearest'});
}

// newTaps are those that the workshop's page does not know of.
const newTaps = () => taps.filter((t) => !inPage.has(t.event.id));

function beat() {
  if (!shown) return;
  tick(shown, state);
  const can = undoable() || now() < Number(root.dataset.undoUntil ?? 0);
  for (const b of shown.querySelectorAll('[data-undo]')) b.disabled = !can;
  if (!document.hidden) localStorage.setItem(`bench.seen.${batch}`, Date.now());
}

function undoable() {
  const own = recent.at(-1);
  return own && performance.now() - own.when <= 10000 ? own : null;
}

// stamp keeps what a form says. Two within 0.8 s count once; a call for help
// and an undo never wait.
async function stamp(form) {
  const kind = form.dataset.stamp, data = dataOf(form), free = kind === 'undone' || kind === 'emergency';
  if (!free && performance.now() - lastStamp < 800) return;
  if (!data) return answer('That is no number.');
  const twice = 'firstBy' in form.dataset ? readsTwice(form.dataset.firstBy) : '';
  if (twice) return answer(twice);
  let undo = null;
  if (kind === 'undone') {
    undo = undoable() ?? (now() < Number(root.dataset.undoUntil ?? 0) && data.of ? {id: data.of} : null);
    if (!undo) return;
    data.of = undo.id;
  }
  if (!free) lastStamp = performance.now();
  if (kind === 'emergency') shown = show(state ??= apply(newTaps(), reopened), data.what); // the card first
  const screen = form.closest('[data-screen]')?.dataset.screen ?? '', by = form.querySelector('[name=by]')?.value ?? root.dataset.by;
  let tap;
  try { tap = await keep(batch, by, kind, data); } catch (e) {
    notKept = `NOT KEPT: this device cannot write (${e?.name ?? e}). Write it on paper.`;
    if (shown) tell();
    lastStamp = -Infinity;
    return;
  }
  notKept = answered.text = '';
  if (undo) {
    if (undo.when) recent.pop();
    if (undo.screen && !newTaps().some((t) => t.event.id === undo.id)) reopened.add(undo.screen);
  } else {
    recent.push({id: tap.event.id, screen, when: performance.now()});
    reopened.delete(screen);
  }
  if (kind === 'triaged') {
    const advice = root.querySelector('[data-screen="advice"]');
    advice.querySelector('[data-advice]').textContent = form.dataset.do;
    advice.querySelector('.done').textContent = form.dataset.button;
    advice.querySelector('[name="s.of"]').value = tap.event.id;
  }
  awaySaid = '';
  for (const i of form.querySelectorAll('[data-dirty]')) delete i.dataset.dirty;
  sound([740]);
  await draw(kind === 'emergency' ? data.what : kind === 'undone' && panelOpen() !== 'other' ? panelOpen() : '');
  document.body.dataset.kept = tap.event.id;
  shown.querySelector('button.done')?.focus({preventScroll: true});
  window.scrollTo(0, 0);
  sync();
}

// readsTwice tells why this is no second reading, '' when it is one.
function readsTwice(firstBy) {
  const plain = (name) => name.trim().replace(/\s+/g, ' ').toLowerCase();
  return plain(firstBy) === plain(root.dataset.by) ? `${firstBy} gave the first reading: another person reads, under her own name. More says who is at it.` : '';
}

let busy = false, again = false, pressed = 0; // since when a finger is down, 0: none is
const longestTap = 3000; // a lift that never came must not keep new screens away for ever [ms]

// sync sends what waits and fetches the page anew.
async function sync(since = 0) {
  if (busy) { again = true; return; }
  busy = true;
  try {
    let list = (await kept(batch)).filter((t) => !t.sent && !t.refused);
    while (list.length) {
      const some = list.splice(0, 200), asked = asking();
      const heard = await send(batch, some.map((t) => t.event)), allowed = asked(heard.now_ms);
      await told(some, heard.refused);
      await compare(allowed);
    }
    const sent = (await kept(batch)).filter((t) => t.sent);
    const asked = asking(), res = await fetch(path + (since ? `?since=${Math.round(since)}` : ''), {signal: patient()});
    const page = res.clone(), next = new DOMParser().parseFromString(await res.text(), 'text/html').getElementById('bench');
    if (!res.ok || !next) throw new Error('no bench');
    hear(asked(Number(next.dataset.now)));
    cutOff = false;
    const news = next.dataset.known !== root.dataset.known || sent.some((t) => !inPage.has(t.event.id));
    const safe = (news || sent.length > 0 || stale(next)) && await keepCopy(next, page);
    while (pressed && performance.now() - pressed < longestTap) await new Promise((r) => setTimeout(r, 50)); // a tap under way is not lost by new screens
    if (safe) await forget(sent); // without a copy a start without a network would not know them
    swap(next, sent, news || since > 0);
  } catch { cutOff = true; } finally { busy = false; }
  await draw();
  if (again) { again = false; sync(); }
}

// stale reports a copy that would show another name or hours that are long past.
const stale = (next) => copied.by !== next.dataset.by || performance.now() - copied.when > 60000;

async function keepCopy(next, page) {
  const kept = await copy(path, page);
  if (kept) copied = {by: next.dataset.by, when: performance.now()};
  return kept;
}

const aheadKey = `bench.ahead.${batch}`; // what the workshop was told last
const toldAhead = () => Number(localStorage.getItem(aheadKey) ?? 0);

// compare tells the workshop how far this device's clock is ahead of its own,
// when what it was told last is certainly two seconds off.
async function compare(allowed) {
  const was = toldAhead(), {least, most} = allowed;
  if (-was > least - 2000 && -was < most + 2000) return;
  const ahead = -Math.round(corrected(-was, allowed));
  await keep(batch, root.dataset.by, 'clock', {ahead_ms: ahead});
  localStorage.setItem(aheadKey, ahead);
  again = true;
}

// swap takes the workshop's screens in the place of these, but leaves alone
// what somebody is changing.
function swap(fresh, sent, force) {
  for (const t of sent) inPage.add(t.event.id);
  if (!force && refresh(root, fresh)) {
    for (const name of ['timing', 'now', 'urgency', 'rinse']) fresh.dataset[name] === undefined ? delete root.dataset[name] : root.dataset[name] = fresh.dataset[name];
    return;
  }
  const dirty = [...root.querySelectorAll('[data-dirty]')].map((i) => [i.closest('.screen').getAttribute('aria-label'), i.name, i.value]);
  const had = document.activeElement?.matches('button.done') ? 'done' : '';
  root.replaceWith(document.adoptNode(fresh));
  root = fresh;
  reopened.clear();
  for (const [label, name, value] of dirty) {
    const input = [...root.querySelectorAll(`[name="${CSS.escape(name)}"]`)].find((i) => i.closest('.screen').getAttribute('aria-label') === label);
    if (input) { input.value = value; input.dataset.dirty = ''; }
  }
  if (had) queueMicrotask(() => root.querySelector('.screen:not([hidden]) button.done')?.focus({preventScroll: true}));
}

// hand says who is at it from now on; the workshop's next page says so too.
function hand(name) {
  if (!name || name.length > 60) return;
  document.cookie = `bench_by=${encodeURIComponent(name)}; path=/; max-age=86400; samesite=strict`;
  root.dataset.by = name;
  draw('');
  sync();
}

const lastSeen = () => Number(localStorage.getItem(`bench.seen.${batch}`) ?? 0);

// back tells who was away for how long.
function back(seen) {
  const away = Date.now() - seen;
  if (!seen || away < 30000) return sync();
  awaySaid = `You were away ${words(away)}`;
  return sync(seen + now() - Date.now());
}

function start() {
  document.documentElement.classList.add('js');
  root.querySelector('[data-device-says]').textContent = missing();
  document.addEventListener('submit', (e) => {
    if (e.target.matches('[data-lot]')) {
      e.preventDefault();
      if (chooseLots(batch, e.target, e.submitter)) draw('');
    }
    if (e.target.matches('[data-who]')) {
      e.preventDefault();
      hand(e.target.elements.name.value.trim());
    }
    if (!e.target.matches('[data-stamp]')) return;
    e.preventDefault();
    wake();
    stamp(e.target);
  });
  document.addEventListener('click', (e) => {
    const button = e.target.closest('button[data-by]'), link = e.target.closest('a[data-show]');
    if (button) step(button);
    else if (link) {
      e.preventDefault();
      draw(link.dataset.show === panelOpen() ? '' : link.dataset.show);
    }
  });
  document.addEventListener('input', (e) => { if (e.target.matches('.value input')) changed(e.target); });
  document.addEventListener('pointerdown', () => { pressed = performance.now(); });
  for (const up of ['pointerup', 'pointercancel']) document.addEventListener(up, () => setTimeout(() => { pressed = 0; }));
  document.addEventListener('keydown', (e) => {
    if (e.repeat) { if (e.key === 'Enter' || e.key === ' ') e.preventDefault(); return; }
    if (e.key !== ' ' && e.key !== 'Enter' || e.target.closest('button, a, input, summary')) return;
    e.preventDefault();
    shown?.querySelector('button.done')?.click();
  });
  document.addEventListener('visibilitychange', () => { if (document.hidden) return; const seen = lastSeen(); wake(); back(seen); });
  window.addEventListener('online', () => sync());
  setInterval(beat, 250);
  setInterval(() => { if (!document.hidden) sync(); }, 5000);
  navigator.serviceWorker?.register('/sw.js', {scope: '/bench'}).then(() => navigator.serviceWorker.ready).then(() => stock(path)).catch(() => {});
  setAhead(-toldAhead()); // until the workshop answers
  const seen = lastSeen();
  draw(new URLSearchParams(location.search).get('show') ?? '').then(() => back(seen));
}

if (root) start();
