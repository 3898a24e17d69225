// What was tapped, kept on this device before the screen says so. A tap and its
// number are written in one strict transaction: it is on the disk, or it did
// not happen. The journal has a copy.

import * as journal from './bench-journal.js';
import {turnLeaf} from './bench-leaf.js';

const {nameOf} = journal;

let opened = open();

function open() {
  return new Promise((done, failed) => {
    const ask = indexedDB.open('barwright-bench', 1);
    ask.onupgradeneeded = () => {
      ask.result.createObjectStore('taps', {keyPath: 'key', autoIncrement: true}).createIndex('batch', 'batch');
      ask.result.createObjectStore('names');
    };
    ask.onsuccess = () => done(ask.result);
    ask.onerror = () => failed(ask.error);
  }).then(settle).then(restore);
}

// settle makes a database sound that may have a torn log, where no journal on
// the disk stands in for it: what waits goes to the workshop before this page
// writes anything, for only writing harms it; then the log is begun anew.
let settled = false;
async function settle(db) {
  if (settled || journal.onDisk()) return db;
  settled = true;
  await repair(db).catch(() => {}); // a repair never keeps a tap from being kept
  return db;
}

async function repair(db) {
  const waiting = [...await transact(db, 'readonly', (taps, names, result) => {
    taps.getAll().onsuccess = (e) => result(e.target.result);
  }), ...await journal.all().catch(() => [])].filter((t) => !t.sent && !t.refused);
  const lists = new Map();
  for (const t of waiting) lists.set(t.batch, [...lists.get(t.batch) ?? [], t.event]);
  const soon = patient(4000);
  await Promise.allSettled([...lists].map(([batch, events]) => send(batch, events, soon)));
  await turnLeaf(); // fails on a full disk: then keeping says so
}

// patient ends a question that nobody answers: one that hangs would keep all that
// comes after it waiting for ever.
export function patient(ms = 12000) {
  const given = new AbortController();
  setTimeout(() => given.abort(), ms);
  return given.signal;
}

// send posts events, and returns what the workshop answers. One it has already
// is no news to it.
export async function send(batch, events, signal = patient()) {
  const res = await fetch(`/batches/${batch}/events`, {method: 'POST', signal, headers: {'Content-Type': 'application/x-ndjson'}, body: events.map((e) => JSON.stringify(e)).join('\n')});
  if (!res.ok || !res.headers.get('Content-Type')?.startsWith('application/json')) throw new Error('not let in');
  return res.json();
}

// restore puts the taps that only the journal has back into a database, and
// copies what the journal lost. One of the two may fail. What was let go of is
// not put back: a kill can leave the journal's copy of it.
async function restore(db) {
  const copies = await journal.all().catch(() => []);
  let waiting = [], stale = [];
  await transact(db, 'readwrite', (taps, names) => {
    let keys = [], values = [];
    names.getAllKeys().onsuccess = (e) => { keys = e.target.result; };
    names.getAll().onsuccess = (e) => { values = e.target.result; };
    taps.getAll().onsuccess = (e) => {
      const here = new Set(e.target.result.map(nameOf)), gone = new Map(keys.map((k, i) => [k, values[i]]));
      stale = copies.filter((t) => !here.has(nameOf(t)) && t.event.seq <= (gone.get(goneTo(t)) ?? 0));
      const old = new Set(stale), missing = copies.filter((t) => !old.has(t) && !here.has(nameOf(t)) && here.add(nameOf(t)));
      missing.sort((a, b) => a.event.seq - b.event.seq);
      for (const tap of missing) taps.add(tap);
      waiting = [...e.target.result, ...missing];
    };
  });
  await journal.takeOver(waiting).catch(() => {});
  await journal.drop(stale);
  return db;
}

// goneTo is where the number is kept up to which a device's taps were let go of.
// They go in their order, so whatever has a lower one and is not here is gone.
const goneTo = ({batch, event}) => `${event.device}.${batch} gone`;

// A new run of the counter whenever the page was away: it may have stood still.
let run = newName();
document.addEventListener('visibilitychange', () => { if (!document.hidden) run = newName(); });

function newName() {
  return [...crypto.getRandomValues(new Uint8Array(8))].map((b) => (b % 36).toString(36)).join('');
}

// within does work in one transaction; once more when the browser closed the
// database under an open page.
async function within(mode, work) {
  try {
    return await transact(await opened, mode, work);
  } catch (e) {
    if (e?.name !== 'AbortError' && e?.name !== 'InvalidStateError') throw e;
    opened = open();
    return transact(await opened, mode, work);
  }
}

function transact(db, mode, work) {
  return new Promise((done, failed) => {
    const tx = db.transaction(['taps', 'names'], mode, {durability: 'strict'});
    let result;
    tx.oncomplete = () => done(result);
    tx.onabort = tx.onerror = () => failed(tx.error ?? new Error('not kept'));
    work(tx.objectStore('taps'), tx.objectStore('names'), (r) => { result = r; });
  });
}

// keep writes one tap and returns it once it is on the disk.
export async function keep(batch, by, kind, data, at = Date.now()) {
  const tick = Math.round(performance.now());
  const tap = await within('readwrite', (taps, names, result) => {
    names.get('device').onsuccess = (e) => {
      const device = e.target.result ?? newName();
      names.put(device, 'device');
      const counter = `${device}.${batch}`;
      names.get(counter).onsuccess = (e) => {
        const seq = (e.target.result ?? 0) + 1;
        names.put(seq, counter);
        const event = {id: `${device}-${seq}`, device, seq, at: new Date(at).toISOString(), run, tick_ms: tick, by, kind, data};
        const tap = {batch, event, sent: false, refused: ''};
        taps.add(tap);
        result(tap);
      };
    };
  });
  await journal.add([tap]).catch(() => {}); // a full disk: the database has it
  return tap;
}

// device is this device's name, undefined before its first tap.
export function device() {
  return within('readonly', (taps, names, result) => {
    names.get('device').onsuccess = (e) => result(e.target.result);
  });
}

// kept lists the taps of a batch that are still here, in their order.
export function kept(batch) {
  return within('readonly', (taps, names, result) => {
    taps.index('batch').getAll(batch).onsuccess = (e) => result(e.target.result);
  });
}

// told notes what the workshop answered about taps.
export function told(list, refused) {
  return within('readwrite', (taps, names) => {
    for (const tap of list) {
      const no = refused.find((r) => r.id === tap.event.id);
      taps.put({...tap, sent: !no, refused: no?.why ?? ''});
    }
    if (refused.some((r) => r.why === 'other')) names.delete('device'); // its number is taken: another name
  });
}

// forget lets go of taps that the workshop has and shows.
export async function forget(list) {
  await within('readwrite', (taps, names) => {
    const last = new Map();
    for (const tap of list) {
      taps.delete(tap.key);
      last.set(goneTo(tap), Math.max(tap.event.seq, last.get(goneTo(tap)) ?? 0));
    }
    for (const [name, seq] of last) names.get(name).onsuccess = (e) => names.put(Math.max(seq, e.target.result ?? 0), name);
  });
  await journal.drop(list);
}
