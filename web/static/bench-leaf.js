// A new leaf for the database. A browser stopped in the middle of a write leaves
// a torn end of its database's log and writes on behind it: so noise is written
// and dropped until the log is full, which the browser then folds into its
// tables and deletes, torn place and all.

const name = 'barwright-leaf', letters = 60000, records = 90; // together more than the 4 MiB that LevelDB's log takes

// turnLeaf is done when the database writes to a new log.
export async function turnLeaf() {
  const db = await asked(indexedDB.open(name, 1), (ask) => ask.result.createObjectStore('noise'));
  for (let i = 0; i < records; i++) { // one transaction each: a log is changed between two
    await new Promise((done, failed) => {
      const tx = db.transaction('noise', 'readwrite', {durability: 'relaxed'});
      tx.oncomplete = done;
      tx.onabort = tx.onerror = () => failed(tx.error);
      tx.objectStore('noise').put(crypto.getRandomValues(new Uint8Array(letters)), 0);
    });
  }
  db.close();
  await asked(indexedDB.deleteDatabase(name));
}

function asked(request, upgrade) {
  return new Promise((done, failed) => {
    request.onupgradeneeded = () => upgrade?.(request);
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
}
