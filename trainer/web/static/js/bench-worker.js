// Opens the sheets of open observations without a connection, as they were when last opened with one.
// It keeps what says of itself that it belongs to an open observation, and forgets all of it when somebody is signed out.

const SHEETS = "bench-sheets";
const FILES = "bench-files";
const SHEET = /^\/bench\/\d+(\/drawing\/[^/]+)?$/;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("message", (event) => {
  const { sheet: path, files } = event.data;
  event.waitUntil(Promise.allSettled([sheet(new Request(path)), ...files.map((address) => file(new Request(address)))]));
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== self.location.origin) return;
  if (pathname.startsWith("/static/")) event.respondWith(file(request));
  else if (SHEET.test(pathname)) event.respondWith(sheet(request));
});

// A file never changes under its address, so what is kept is as good as new.
async function file(request) {
  const cache = await caches.open(FILES);
  const there = await cache.match(request.url);
  if (there) return there;
  const reply = await fetch(request);
  if (reply.ok) {
    const [, , digest] = new URL(request.url).pathname.split("/");
    for (const old of await cache.keys()) if (!old.url.includes(`/static/${digest}/`)) await cache.delete(old);
    await cache.put(request.url, reply.clone());
  }
  return reply;
}

async function sheet(request) {
  const cache = await caches.open(SHEETS);
  let reply;
  try {
    reply = await fetch(request);
  } catch (gone) {
    const there = await cache.match(request.url);
    if (there) return there;
    throw gone;
  }
  if (reply.ok && !reply.redirected && reply.headers.get("X-At-The-Bench") === "open") {
    await cache.put(request.url, reply.clone());
  } else if (reply.type === "opaqueredirect" || reply.redirected) {
    await caches.delete(SHEETS); // nobody is signed in
  } else {
    const { pathname } = new URL(request.url);
    const ofIt = ({ url }) => `${new URL(url).pathname}/`.startsWith(`${pathname}/`);
    for (const old of (await cache.keys()).filter(ofIt)) await cache.delete(old);
  }
  return reply;
}
