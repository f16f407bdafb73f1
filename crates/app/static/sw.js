// Keeps the app for use without a network. One version is one cache; a newer one waits until it is asked for, as a
// running app must not be served another version's files.

const BASE = new URL("./", self.location);
// Caches belong to the whole origin: the folder tells ours from those of a copy in another one.
const OURS = `longrail-app ${BASE.pathname} `;
const CACHE = OURS + "{{VERSION}}";
// Their names change with their content.
const NAMED_BY_CONTENT = {{HASHED}};
const OTHERS = {{FILES}};

self.addEventListener("install", event => {
  // Files named by their content may come from the browser's own cache, so that the first visit loads them once.
  const requests = [
    ...NAMED_BY_CONTENT.map(name => new Request(new URL(name, BASE))),
    ...OTHERS.map(name => new Request(new URL(name, BASE), { cache: "reload" })),
  ];
  event.waitUntil(caches.open(CACHE).then(cache => cache.addAll(requests)));
});

self.addEventListener("activate", event => {
  const clean = async () => {
    const names = await caches.keys();
    await Promise.all(names.filter(name => name.startsWith(OURS) && name !== CACHE).map(name => caches.delete(name)));
    await self.clients.claim();
  };
  event.waitUntil(clean());
});

self.addEventListener("message", event => {
  if (event.data === "update") self.skipWaiting();
});

self.addEventListener("fetch", event => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== BASE.origin || !url.pathname.startsWith(BASE.pathname)) return;
  const path = url.pathname.slice(BASE.pathname.length);
  if (path.startsWith("api/") || path === "share.json") return;
  event.respondWith(request.mode === "navigate" ? page(request, path, url.search) : file(request));
});

async function file(request) {
  const cache = await caches.open(CACHE);
  return (await cache.match(request)) ?? fetch(request);
}

// The page is one; what else is asked for without a dot is a place in it, as on the server.
async function page(request, path, search) {
  if (path === "" || path === "index.html") {
    const cache = await caches.open(CACHE);
    return (await cache.match(BASE)) ?? fetch(request);
  }
  return path.includes(".") ? file(request) : Response.redirect(`${BASE.href}${search}#/${path}`);
}
