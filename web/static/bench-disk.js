// A worker that writes lines to a file of this page's own and answers once they
// are on the disk. Only a worker may do so. It counts what waits: when nothing
// does, the file is emptied.

const waits = new Set(), text = new TextEncoder();
const opened = open();

async function open() {
  const dir = await (await navigator.storage.getDirectory()).getDirectoryHandle('taps', {create: true});
  const file = await dir.getFileHandle(self.name, {create: true});
  return file.createSyncAccessHandle();
}

onmessage = async ({data: {n, add = [], drop = []}}) => {
  try {
    const file = await opened;
    for (const name of drop) waits.delete(name);
    if (waits.size === 0) file.truncate(0);
    for (const [name, line] of add) {
      file.write(text.encode(`${line}\n`), {at: file.getSize()});
      waits.add(name);
    }
    file.flush();
    postMessage({n});
  } catch (e) { postMessage({n, why: String(e)}); }
};
