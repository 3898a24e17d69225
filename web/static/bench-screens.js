// Which screen is next, by the stamps that wait on this device: the run sheet's
// order and its tolerances, no chemistry. What needs more waits for the
// workshop.

import {grams} from './bench-forms.js';

const root = () => document.getElementById('bench');
const slack = 1e-6;

// standing takes away what was undone.
function standing(taps) {
  const gone = new Set(taps.filter((t) => t.event.kind === 'undone').map((t) => t.event.data.of));
  return taps.filter((t) => !t.refused && !gone.has(t.event.id) && t.event.kind !== 'undone');
}

const sheet = () => JSON.parse(root().dataset.sheet);

function netIn(steps, vessel, mixed) {
  return steps.reduce((g, s) => s.type === 'weigh' && (s.vessel === 'mix' && mixed ? 'jug' : s.vessel) === vessel ? g + (s.had_g ?? 0) : g, 0);
}

// apply folds taps into what is done. reopened are screens whose stamp, which
// the workshop has already, was undone here.
export function apply(taps, reopened) {
  const {steps, vessels} = sheet();
  const done = new Set([...root().querySelectorAll('[data-screen][data-done]')].map((s) => s.dataset.screen));
  for (const name of reopened) done.delete(name);
  const state = {done, steps, vessels, faults: {}, marks: {}, advice: null, rinse: null, waits: false};
  const by = (id) => steps.find((s) => s.step === id);
  const mixed = () => by('mix')?.done || state.marks.mix;
  for (const {event} of standing(taps)) {
    const d = event.data, at = Date.parse(event.at);
    switch (event.kind) {
      case 'acknowledged': d.what.forEach((w) => done.add(`read.${w}`)); break;
      case 'tared': vessels[d.vessel] = d.g; done.add(`tare.${d.vessel}`); break;
      case 'weighed': {
        const s = by(d.step);
        if (!s) break;
        s.had_g = d.g;
        if (d.g >= s.low_g - slack && d.g <= s.high_g + slack) { done.add(d.step); delete state.faults[d.step]; }
        else state.faults[d.step] = `${shownAs(d.g, unitOf(d.step))} is not fine: ${shownAs(s.low_g, unitOf(d.step))} to ${shownAs(s.high_g, unitOf(d.step))} is. Weigh it again; more is worked out once the workshop answers.`;
        break;
      }
      case 'gross': {
        const s = steps.find((s) => s.type === 'check' && s.vessel === d.vessel && !done.has(s.step));
        if (!s) break;
        const inside = netIn(steps, d.vessel, mixed()), off = d.g - (vessels[d.vessel] ?? 0) - inside;
        if (Math.abs(off) <= Math.max(2, 0.005 * inside)) { done.add(s.step); delete state.faults[s.step]; }
        else state.faults[s.step] = `${shownAs(Math.abs(off), unitOf(s.step))} ${off > 0 ? 'more' : 'less'} than what is in it. Weigh it again; more is worked out once the workshop answers.`;
        break;
      }
      case 'stamped':
        if (d.step === 'false_trace') { done.delete('trace'); delete state.marks.trace; break; }
        done.add(d.step);
        state.marks[d.step] = at;
        break;
      case 'cut': done.add('cut'); break;
      case 'reading': done.add(`read.${d.of}`); break;
      case 'read_back': done.add(`second.${d.step}`); break;
      case 'chose': case 'went_on': state.waits = true; break;
      case 'triaged': state.advice = event.id; break;
      case 'handled': if (state.advice === d.of) state.advice = null; done.add('trouble'); break;
      case 'emergency': state.rinse = at; break;
    }
  }
  for (const s of steps) {
    if (s.type !== 'check') continue;
    number(s.step, Math.round(10 * ((vessels[s.vessel] ?? 0) + netIn(steps, s.vessel, mixed()))) / 10);
  }
  for (const el of root().querySelectorAll('[data-reads]')) {
    const s = by(el.closest('[data-screen]').dataset.step), tare = vessels[s?.vessel];
    if (tare === undefined || !['pot', 'jug'].includes(s.vessel)) continue;
    const g = tare + netIn(steps, s.vessel, mixed()) - (s.had_g ?? 0) + s.g;
    el.textContent = ` · ${s.vessel} reads ${shownAs(Math.round(10 * g) / 10, el.dataset.reads)}`;
  }
  return state;
}

// unitOf is what the scale of a step shows.
function unitOf(step) {
  const [unit] = (root().querySelector(`[data-screen="${CSS.escape(step)}"] .do .value input`)?.name ?? '').split('.');
  return grams[unit] ? unit : 'g';
}

// figure is a weight in the unit of a scale: no scale here shows it finer.
const figure = (g, unit) => { const parts = {g: 100, oz: 1000, lb: 1000, kg: 10000}[unit]; return Math.round(parts * g / (grams[unit] ?? 1)) / parts; };
const shownAs = (g, unit) => `${figure(g, unit)}\u202f${unit}`;

// number puts a figure on a screen and into its stepper, unless it was changed
// by hand.
function number(name, g) {
  const screen = root().querySelector(`[data-screen="${CSS.escape(name)}"]`), input = screen?.querySelector('.do .value input');
  const should = screen?.querySelector('[data-should]');
  if (should) should.textContent = shownAs(g, unitOf(name));
  if (!input || 'dirty' in input.dataset) return;
  screen.querySelector('[data-number]').textContent = input.value = figure(g, unitOf(name));
}

let panel = '';

export function panelOpen() { return panel; }
export function openPanel(name) { panel = name; }

// show shows the screen that is next, or the panel over it.
export function show(state, name = panel) {
  panel = name;
  const screens = [...root().querySelectorAll('[data-screen]')].filter((s) => s.dataset.screen !== 'advice');
  let now = screens.find((s) => !state.done.has(s.dataset.screen)) ?? screens.at(-1);
  const advice = root().querySelector('[data-screen="advice"]');
  if (state.advice && advice.querySelector('[name="s.of"]').value === state.advice) now = advice;
  if (name === 'lots') {
    panel = name = `lots.${now.dataset.step ?? ''}`;
    if (!root().querySelector(`[data-panel="${CSS.escape(name)}"]`)) panel = name = 'lots.';
  }
  const over = name && name !== 'other' ? root().querySelector(`[data-panel="${CSS.escape(name)}"]`) : null;
  const shown = over ?? now;
  for (const s of root().querySelectorAll('.screen')) s.hidden = s !== shown;
  for (const s of root().querySelectorAll('.do .steps')) {
    const screen = s.closest('.screen');
    if (screen.querySelector('[data-show="other"]')) s.hidden = !(name === 'other' && screen === now);
  }
  for (const n of now.querySelectorAll('.number')) n.classList.toggle('long', n.textContent.replace(/\s/g, '').length > 5);
  return shown;
}

// said is what a screen says of its last tap by itself, '' when nothing.
export function said(state, screen) {
  return state.faults[screen.dataset.screen] ?? (state.waits && screen.matches('.wrong, .trouble') ? 'Kept. How it goes on is worked out once the workshop answers.' : '');
}
