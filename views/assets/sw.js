// Has the form of a new entry of the work log ready without signal, and the files it needs; nothing else is kept.

const store = 'entry-form-1';
const assets = ['app.css', 'charts.css', 'app.js', 'worklog.js', 'htmx.min.js'].map(
  (name) => `/assets/${name}`,
);
const shell = '/worklog/new';

async function keepShell() {
  const cache = await caches.open(store);
  await cache.addAll(assets);
  const page = await fetch(shell, { headers: { accept: 'text/html' } });
  if (page.ok && !page.redirected) await cache.put(shell, page);
}

addEventListener('install', (event) => {
  event.waitUntil(keepShell().then(() => skipWaiting()));
});

addEventListener('activate', (event) => {
  const drop = async () => {
    for (const name of await caches.keys()) if (name !== store) await caches.delete(name);
    await clients.claim();
  };
  event.waitUntil(drop());
});

/** From the server; without it what was kept. */
async function answer(request, keptAs) {
  try {
    const fresh = await fetch(request);
    if (fresh.ok && !fresh.redirected) {
      const cache = await caches.open(store);
      await cache.put(keptAs, fresh.clone());
    }
    return fresh;
  } catch (error) {
    const old = await caches.match(keptAs, { cacheName: store });
    if (old) return old;
    throw error;
  }
}

/** A form that its address fills in: from the server, or the bare form, which the script fills in. */
async function filledIn(request, event) {
  const old = await caches.match(shell, { cacheName: store });
  try {
    const fresh = await fetch(request);
    // Gone since the last sign-out.
    if (!old && fresh.ok && !fresh.redirected) event.waitUntil(keepShell());
    return fresh;
  } catch (error) {
    if (old) return old;
    throw error;
  }
}

addEventListener('fetch', (event) => {
  const { request } = event;
  const { pathname, search } = new URL(request.url);
  // Whoever signs out leaves no page of the land on the phone.
  if (request.method === 'POST' && pathname === '/sign-out') event.waitUntil(caches.delete(store));
  if (request.method !== 'GET') return;
  if (request.mode === 'navigate' && pathname === shell) {
    // Only the bare form is kept: one page, and the script fills in unit and treatment from the address.
    event.respondWith(search === '' ? answer(request, shell) : filledIn(request, event));
  } else if (assets.includes(pathname)) event.respondWith(answer(request, pathname));
});
