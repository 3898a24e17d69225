// The bench and the weighing day start cold without a network: this worker keeps its pages and what
// they are made of, and nothing else. Taps never pass through it; the page keeps
// those itself.

const shell = 'bench-1';

self.addEventListener('install', () => self.skipWaiting());
self.addEventListener('activate', (e) => e.waitUntil((async () => {
  for (const name of await caches.keys()) if (name !== shell) await caches.delete(name);
  await self.clients.claim();
})()));

self.addEventListener('fetch', (e) => {
  const url = new URL(e.request.url);
  if (e.request.method !== 'GET' || url.origin !== location.origin) return;
  if (url.pathname.startsWith('/static/')) e.respondWith(asset(e.request));
  else if (e.request.mode === 'navigate' && (url.pathname === '/bench' || url.pathname.startsWith('/bench/') || url.pathname === '/rack/weigh') && url.pathname !== '/bench/new') e.respondWith(page(e.request, url));
});

// asset is a file whose name changes with it: the kept one is always right.
async function asset(request) {
  const kept = await (await caches.open(shell)).match(request);
  if (kept) return kept;
  const fresh = await fetch(request);
  if (fresh.ok) await (await caches.open(shell)).put(request, fresh.clone());
  return fresh;
}

// page asks the workshop first; when nobody answers, the kept one is opened. What
// an open page asks for does not come through here: nothing but the network then
// stands between it and the workshop, and it keeps its own copy.
async function page(request, url) {
  const kept = await caches.open(shell);
  try {
    const fresh = await fetch(request, {signal: AbortSignal.timeout(4000)});
    if (fresh.ok && !fresh.redirected && fresh.headers.get('Content-Type')?.startsWith('text/html')) await kept.put(url.pathname, fresh.clone());
    return fresh;
  } catch (e) {
    const old = await kept.match(url.pathname);
    if (old) return old;
    throw e;
  }
}
