// The weighing day: a weight is kept on this device, then shown, then sent, by
// the bench's own queue. Without this file the page is a form.

import {keep, kept, told, forget, send} from './bench-taps.js';
import {stock} from './bench-forms.js';

const form = document.getElementById('weighing');
const waitingIn = 'weigh.batches'; // batches whose weights may still be here
const rows = [...document.querySelectorAll('.bars li[data-bar]')];
const written = new Map(); // of this device, by row: id and weight
let busy = false, more = false; // a sync is under way; something came meanwhile

const number = (text) => { const t = text.trim().replace(',', '.'); return t === '' ? NaN : Number(t); };
const twoWays = (text) => /^\s*[1-9]\d{0,2},\d{3}\s*$/.test(text); // 83,105: two weights, or thousands
const show = (g) => g.toFixed(1);
const input = (row) => row.querySelector('.weight input');
const says = (row, text) => { row.querySelector('[data-says]').textContent = text; };

// weight is what the row would write: what was typed or stepped to. What is
// expected is no weighing: nobody writes it by pressing a button.
const weight = (row) => number(input(row).value);

function label(row) {
  const g = weight(row), button = row.querySelector('[data-write]');
  button.textContent = Number.isNaN(g) ? (row.dataset.done === undefined ? 'Write' : 'Again') : `Write ${input(row).value.trim()}`;
  button.disabled = Number.isNaN(g);
}

function step(button) {
  const row = button.closest('li'), g = number(input(row).value || row.dataset.said);
  input(row).value = show(Math.max(0, (Number.isNaN(g) ? 100 : g) + Number(button.dataset.step)));
  unask(row);
  label(row);
}

// slips are what was perhaps meant: neighbours swapped, the point elsewhere.
function slips(g, low, high) {
  const text = String(g), point = text.indexOf('.'), digits = text.replace('.', ''), out = [g * 10, g / 10, g * 100, g / 100];
  for (let i = 1; i < digits.length; i++) {
    const swapped = digits.slice(0, i - 1) + digits[i] + digits[i - 1] + digits.slice(i + 1);
    out.unshift(Number(point < 0 ? swapped : `${swapped.slice(0, point)}.${swapped.slice(point)}`));
  }
  return [...new Set(out.filter((x) => low <= x && x <= high).map((x) => show(x)))].slice(0, 2);
}

const unask = (row) => { for (const p of row.querySelectorAll('.asks, .ask')) p.remove(); };

// ask puts a question where a weight looks like a slip; true when it did.
function ask(row, g) {
  const low = Number(row.dataset.low), high = Number(row.dataset.high);
  unask(row);
  if (!row.dataset.low || (low <= g && g <= high)) return false;
  const p = document.createElement('p'), words = document.createElement('strong');
  p.className = 'asks';
  p.setAttribute('role', 'alert');
  words.textContent = `Really ${g} g? About ${row.dataset.said} g is expected.`;
  p.append(words);
  const answer = (text, take) => {
    const b = document.createElement('button');
    b.type = 'button';
    b.textContent = text;
    b.addEventListener('click', take);
    p.append(b);
  };
  for (const meant of slips(g, low * 0.98, high * 1.02)) answer(`It was ${meant}`, () => { input(row).value = meant; write(row, true); });
  answer(`It is ${g}`, () => write(row, true));
  row.append(p);
  return true;
}

// A page that stays open, or a weight that waits, may be of another day.
const today = () => new Date().toDateString();
const dayOf = (at) => new Date(at).toDateString();

// write keeps the row's weight and goes on to the next. A second one of the same
// bar on the same day puts the first right.
async function write(row, sure = false) {
  const g = weight(row), {batch} = row.dataset, bar = Number(row.dataset.bar);
  if (twoWays(input(row).value)) { says(row, 'That can be read two ways: write it with a point, or without the comma.'); return; }
  if (!(g > 0 && g <= 5000)) { says(row, 'That is no weight of a bar in grams.'); return; }
  if (!sure && ask(row, g)) return;
  const before = written.get(row)?.day === today() ? written.get(row) : null;
  try {
    localStorage.setItem(waitingIn, JSON.stringify([...new Set([...waiting(), batch])]));
    const tap = before ? await keep(batch, form.dataset.by, 'corrected', {of: before.id, g, why: 'written again on the weighing day'}) : await keep(batch, form.dataset.by, 'bar_weighed', {bar, g});
    written.set(row, {id: before?.id ?? tap.event.id, day: today()});
  } catch (e) {
    says(row, `NOT KEPT: this device cannot write (${e?.name ?? e}). Write it on paper.`);
    return;
  }
  document.body.dataset.waiting = Number(document.body.dataset.waiting ?? 0) + 1;
  unask(row);
  done(row, g);
  const next = rows.slice(rows.indexOf(row) + 1).find((r) => r.dataset.done === undefined);
  if (next) input(next).focus(); else input(row).blur();
  sync();
}

function done(row, g) {
  row.dataset.done = '';
  input(row).value = '';
  input(row).placeholder = show(g);
  row.dataset.said = show(g);
  says(row, `${g} g written down`);
  label(row);
}

const waiting = () => JSON.parse(localStorage.getItem(waitingIn) ?? '[]');

// sync sends what waits, batch by batch.
async function sync() {
  if (busy) { more = true; return; }
  busy = true;
  let left = 0;
  for (const batch of waiting()) {
    try {
      let list = (await kept(batch)).filter((t) => !t.sent && !t.refused);
      if (list.length) {
        await told(list, (await send(batch, list.map((t) => t.event))).refused);
        const all = await kept(batch);
        await forget(all.filter((t) => t.sent && t.event.kind !== 'clock'));
      }
    } catch { /* it waits here, and is sent again */ }
  }
  for (const batch of waiting()) left += (await kept(batch)).filter((t) => !t.sent && !t.refused).length;
  busy = false;
  if (more) { more = false; return sync(); }
  if (!left) localStorage.removeItem(waitingIn);
  document.body.dataset.waiting = left;
  document.querySelector('[data-told]').textContent = left ? `${left} ${left === 1 ? 'weight waits' : 'weights wait'} on this device.` : written.size ? 'All of it is in the workshop.' : '';
}

// again shows what this device wrote and the page does not know of yet.
async function again() {
  for (const batch of waiting()) {
    for (const tap of await kept(batch)) {
      const {kind, data, id} = tap.event;
      const row = kind === 'bar_weighed' && rows.find((r) => r.dataset.batch === batch && Number(r.dataset.bar) === data.bar);
      if (row && dayOf(tap.event.at) === today()) { written.set(row, {id, day: today()}); done(row, data.g); }
      const known = kind === 'corrected' && rows.find((r) => written.get(r)?.id === data.of);
      if (known) done(known, data.g);
    }
  }
}

function start() {
  document.documentElement.classList.add('js');
  rows.forEach(label);
  document.addEventListener('click', (e) => {
    const by = e.target.closest('[data-step]'), go = e.target.closest('[data-write]');
    if (by) step(by);
    if (go) write(go.closest('li'));
  });
  form.addEventListener('input', (e) => { const row = e.target.closest('.bars li[data-bar]'); if (row && e.target === input(row)) { unask(row); label(row); } });
  form.addEventListener('keydown', (e) => { if (e.key === 'Enter' && e.repeat) e.preventDefault(); });
  form.addEventListener('submit', (e) => { // enter in a field: the row's weight, and on to the next
    if (!e.submitter?.matches('.first')) return;
    e.preventDefault();
    const row = document.activeElement.closest('.bars li[data-bar]');
    if (!row) return;
    if (input(row).value.trim() === '') says(row, 'type what the scale shows, or step to it');
    else write(row);
  });
  window.addEventListener('online', () => sync());
  setInterval(() => { if (!document.hidden && Number(document.body.dataset.waiting)) sync(); }, 5000);
  navigator.serviceWorker?.register('/sw.js', {scope: '/rack/weigh'}).then(() => stock('/rack/weigh')).catch(() => {});
  again().then(sync);
}

if (form) start();
