// Keeps the shell of the card: the page, its sheets and modules, one version at a time. `SHELL` stands above, written by
// the service: {version, page, files}. Answers of the API are never kept here.

const KEPT = `league-card-${SHELL.version}`;
const OURS = "league-card-";

self.addEventListener("install", event => event.waitUntil((async () => {
  const cache = await caches.open(KEPT);
  // All or nothing: a shell with a hole in it would fail where there is no signal to mend it.
  await cache.addAll([SHELL.page, ...SHELL.files].map(url => new Request(url, {cache: "reload", credentials: "same-origin"})));
  await self.skipWaiting();
})()));

self.addEventListener("activate", event => event.waitUntil((async () => {
  for (const name of await caches.keys()) if (name.startsWith(OURS) && name !== KEPT) await caches.delete(name);
  await self.clients.claim();
})()));

self.addEventListener("fetch", event => {
  const {request} = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin) return;
  const isPage = request.mode === "navigate" && url.pathname === SHELL.page;
  if (isPage || SHELL.files.includes(url.pathname)) event.respondWith(fromCache(isPage ? SHELL.page : url.pathname, request));
});

async function fromCache(path, request) {
  const found = await (await caches.open(KEPT)).match(path);
  return found ?? fetch(request);
}
