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
        else state.faults[d.step] = `${d.g} g is not fine: ${s.low_g} to ${s.high_g} g is. Weigh it again; more is worked out once the workshop answers.`;
        break;
      }
      case 'gross': {
        const s = steps.find((s) => s.type === 'check' && s.vessel === d.vessel && !done.has(s.step));
        if (!s) break;
        const inside = netIn(steps, d.vessel, mixed()), off = d.g - (vessels[d.vessel] ?? 0) - inside;
        if (Math.abs(off) <= Math.max(2, 0.005 * inside)) { done.add(s.step); delete state.faults[s.step]; }
        else state.faults[s.step] = `${Math.abs(off).toFixed(1)} g ${off > 0 ? 'more' : 'less'} than what is in it. Weigh it again; more is worked out once the workshop answers.`;
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
    const g = Math.round(10 * ((vessels[s.vessel] ?? 0) + netIn(steps, s.vessel, mixed()))) / 10;
    number(s.step, g);
  }
  for (const el of root().querySelectorAll('[data-reads]')) {
    const s = by(el.closest('[data-screen]').dataset.step), tare = vessels[s?.vessel];
    if (tare === undefined || !['pot', 'jug'].includes(s.vessel)) continue;
    const g = tare + netIn(steps, s.vessel, mixed()) - (s.had_g ?? 0) + s.g;
    const unit = el.dataset.reads, per = grams[unit] ?? 1, places = per === 1 ? 10 : 100;
    el.textContent = ` · ${s.vessel} reads ${Math.round(places * g / per) / places} ${unit}`;
  }
  return state;
}

// number puts a figure on a screen and into its stepper, unless it was changed
// by hand.
function number(name, g) {
  const screen = root().querySelector(`[data-screen="${CSS.escape(name)}"]`), input = screen?.querySelector('.do .value input');
  if (!input || 'dirty' in input.dataset) return;
  const per = grams[input.name.split('.')[0]] ?? 1;
  screen.querySelector('[data-number]').textContent = input.value = per === 1 ? g : Math.round(100 * g / per) / 100;
}

let panel = '';

export function panelOpen() { return panel; }
export function openPanel(name) { panel = name; }

// show shows the screen that is next, or the panel over it.
export function show(state, name = panel) {
  panel = name;
  const screens = [...root().querySelectorAll('[data-screen]')].filter((s) => s.dataset.screen !== 'advice');
  const special = (s) => s.matches('.wrong') || s.matches('.trouble');
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
  const told = now.querySelector('[data-told]');
  if (told) told.textContent = state.faults[now.dataset.screen] ?? (state.waits && special(now) ? 'Kept. How it goes on is worked out once the workshop answers.' : '');
  for (const n of now.querySelectorAll('.number')) n.classList.toggle('long', n.textContent.replace(/\s/g, '').length > 5);
  return shown;
}
