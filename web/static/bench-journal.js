// A second copy of every tap that waits, apart from the database. A browser
// stopped in the middle of a write leaves a torn end of its database's log,
// writes on behind it, and at the start after that takes the whole database for
// damaged and drops it. Losing one of the two places loses nothing.

export const nameOf = (tap) => `${tap.batch} ${tap.event.id}`;

// The disk: a file a page, flushed before a tap counts as kept. Only a secure
// context has it.
const page = `${Date.now()}-${Math.random().toString(36).slice(2)}`;
let worker = isSecureContext && navigator.storage?.getDirectory ? new Worker(new URL('./bench-disk.js', import.meta.url), {name: page}) : null;
const asked = new Map();
if (worker) {
  worker.onmessage = ({data: {n, why}}) => answer(n, why);
  worker.onerror = () => {
    worker = null;
    for (const n of [...asked.keys()]) answer(n, 'no worker');
  };
}

function answer(n, why) {
  const [done, failed] = asked.get(n);
  asked.delete(n);
  if (why) failed(new Error(why)); else done();
}

let n = 0;
function toDisk(what) {
  if (!worker) return Promise.reject(new Error('not here'));
  return new Promise((done, failed) => { asked.set(++n, [done, failed]); worker.postMessage({n, ...what}); });
}

const folder = async () => (await navigator.storage.getDirectory()).getDirectoryHandle('taps', {create: true});

// onDisk reports a journal that is on the disk before a tap counts as kept.
export const onDisk = () => worker !== null;

// Without it localStorage, which browsers write some seconds later.
const key = (tap) => `bench.tap.${nameOf(tap)}`;

// add writes a copy of taps.
export async function add(taps) {
  try {
    await toDisk({add: taps.map((t) => [nameOf(t), JSON.stringify(t)])});
  } catch {
    for (const tap of taps) localStorage.setItem(key(tap), JSON.stringify(tap));
  }
}

// drop lets go of the copies of taps.
export async function drop(taps) {
  for (const tap of taps) localStorage.removeItem(key(tap));
  await toDisk({drop: taps.map(nameOf)}).catch(() => {}); // else they are sent again, and are no news
}

// all lists the copies, this page's and those that earlier ones left.
export async function all() {
  const lines = Object.keys(localStorage).filter((k) => k.startsWith('bench.tap.')).map((k) => localStorage.getItem(k));
  if (worker) {
    for await (const file of (await folder()).values()) lines.push(...(await (await file.getFile()).text()).split('\n'));
  }
  return lines.flatMap((line) => { try { return [JSON.parse(line)]; } catch { return []; } }); // the torn end of a file, never confirmed
}

// takeOver writes what waits into this page's file and removes those of pages
// that are no longer open.
export async function takeOver(taps) {
  if (taps.length) await add(taps);
  if (!worker) return;
  const dir = await folder();
  for await (const name of dir.keys()) if (name !== page) await dir.removeEntry(name).catch(() => {}); // an open page holds its own
}
