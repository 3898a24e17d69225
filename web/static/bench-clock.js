// Timers from stored stamps, what is due now, and a screen that stays awake.

const root = () => document.getElementById('bench');
let ahead = 0; // the workshop's clock against this device's [ms]

export function setAhead(ms) { ahead = ms; }
export function now() { return Date.now() + ahead; }

// asking begins a question; what it returns tells from the workshop's time in
// the answer how far that clock can be ahead of this one [ms]: it was read
// between asking and hearing, and nobody knows when.
export function asking() {
  const date = Date.now(), tick = performance.now();
  return (theirs) => {
    const heard = Date.now(), took = Math.max(performance.now() - tick, heard - date); // a clock set meanwhile proves nothing
    return {least: theirs - heard, most: theirs - heard + took};
  };
}

// corrected is what was reckoned, where the answer allows it: a slow one moves
// no timer. Else it is the middle of what the answer allows.
export function corrected(was, {least, most}) {
  return was >= least && was <= most ? was : (least + most) / 2;
}

// hear corrects the workshop's clock by an answer.
export function hear(allowed) { ahead = corrected(ahead, allowed); }

export function words(ms) {
  const s = Math.floor(Math.abs(ms) / 1000), two = (n) => String(n).padStart(2, '0');
  const text = s >= 3600 ? `${Math.floor(s / 3600)}:${two(Math.floor(s / 60) % 60)}:${two(s % 60)}` : `${Math.floor(s / 60)}:${two(s % 60)}`;
  return ms < 0 && s > 0 ? `\u2212${text}` : text;
}

// aim gives countdowns their ends, by stamps that wait on this device.
export function aim(state) {
  for (const el of root().querySelectorAll('[data-count][data-after]')) {
    const at = state.marks[el.dataset.after];
    if (!at || el.dataset.to && !('own' in el.dataset)) continue;
    const [low, typical, high] = el.dataset.span.split(' ').map((s) => at + ahead + 1000 * s);
    Object.assign(el.dataset, {to: typical, low, high, own: ''});
    const say = el.parentElement.querySelector('[data-say]');
    if (say) say.textContent = ''; // it was of the step before
  }
}

// tick shows every running time, and says how urgent it is.
export function tick(shown, state) {
  const at = now();
  let urgency = '';
  for (const el of shown.querySelectorAll('[data-count]')) {
    if (!el.dataset.to) continue;
    el.textContent = words(el.dataset.to - at);
    el.classList.toggle('long', el.textContent.length > 5);
    const range = el.parentElement.querySelector('[data-range]');
    if (el.dataset.low) range.textContent = `${words(Math.max(0, el.dataset.low - at))} to ${words(Math.max(0, el.dataset.high - at))} left`;
    else if (el.dataset.to < at) urgency = 'done';
  }
  const early = shown.querySelector('button[data-early]'), until = shown.querySelector('[data-count][data-to]');
  const due = early && !(until?.dataset.to > at), instead = early && shown.querySelector('.instead');
  if (instead) instead.hidden = due;
  if (early) early.form.toggleAttribute('data-less', !!instead && !due);
  const says = early && (due ? early.dataset.due : early.dataset.early);
  if (early && early.textContent !== says) early.textContent = says;
  const timing = JSON.parse(root().dataset.timing).findLast((t) => t.from_ms <= at);
  if (timing && shown.querySelector('[data-count][data-low]')) {
    const say = shown.querySelector('[data-say]');
    if (say && say.textContent !== timing.say) say.textContent = timing.say;
    urgency = timing.urgency;
  } else if (root().dataset.urgency && !urgency) urgency = root().dataset.urgency;
  const since = state.rinse ? state.rinse + ahead : Number(root().dataset.rinse ?? 0);
  for (const el of shown.querySelectorAll('[data-rinse-timer]')) el.textContent = words(since ? at - since : 0);
  document.body.dataset.urgency = urgency;
  const line = shown.querySelector('[data-urgent]');
  const text = {'act now': '\u25c6 Act now', soon: '\u25b2 Soon', done: '\u25cf Time is up'}[urgency] ?? '';
  if (line && line.textContent !== text) line.textContent = text;
  alert(urgency);
}

let audio = null, last = 0, was = '';
const every = {'act now': 5000, soon: 30000, done: 30000};
const pitch = {'act now': [880, 660, 880], soon: [523], done: [392, 523]};

// alert sounds and shakes, again and again until it is stamped.
function alert(urgency) {
  if (!urgency) { was = ''; return; }
  if (urgency === was && performance.now() - last < every[urgency]) return;
  was = urgency;
  last = performance.now();
  document.body.dataset.alerts = Number(document.body.dataset.alerts ?? 0) + 1;
  if (navigator.userActivation?.hasBeenActive) navigator.vibrate?.(urgency === 'act now' ? [300, 100, 300] : [200]);
  sound(pitch[urgency]);
}

export function sound(notes) {
  if (audio?.state !== 'running') return;
  notes.forEach((f, i) => {
    const o = audio.createOscillator(), g = audio.createGain(), t = audio.currentTime + 0.2 * i;
    o.frequency.value = f;
    g.gain.setValueAtTime(0.3, t);
    g.gain.exponentialRampToValueAtTime(0.01, t + 0.18);
    o.connect(g).connect(audio.destination);
    o.start(t);
    o.stop(t + 0.19);
  });
}

// wake keeps the screen on: by the browser's lock, which needs a secure
// context, else by a picture that moves.
let lock = null, film = null;
export async function wake() {
  audio ??= new AudioContext();
  if (audio.state === 'suspended') audio.resume();
  if (navigator.wakeLock) {
    if (lock && !lock.released) return;
    try { lock = await navigator.wakeLock.request('screen'); } catch { lock = null; } // a low battery refuses
    return;
  }
  if (film) return;
  const canvas = document.createElement('canvas'), pen = canvas.getContext('2d');
  film = document.createElement('video');
  film.className = 'nudge';
  film.muted = film.playsInline = true;
  film.setAttribute('aria-hidden', 'true');
  film.srcObject = canvas.captureStream(1);
  document.body.append(film);
  setInterval(() => { pen.fillStyle = Math.random() < 0.5 ? '#101513' : '#101514'; pen.fillRect(0, 0, 8, 8); }, 1000);
  film.play().catch(() => {});
}

// missing says what this connection cannot do.
export function missing() {
  if (isSecureContext) return '';
  return 'This address is not secure: the page works on while it is open and keeps every tap, in one place instead of two; it cannot be opened anew without the network, and may not keep the screen awake. Set the device to stay on, or install the workshop\u2019s certificate.';
}
