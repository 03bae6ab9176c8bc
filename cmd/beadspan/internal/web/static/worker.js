// Keeps the bay usable without a network: its scripts and looks, and the last
// page of it that the server sent. What was logged is not in here but in the
// phone's database, which a new version of this script doesn't touch.
const assets = `beadspan-assets-${setting.version}`;
const pages = "beadspan-pages";
const patience = 4000; // milliseconds before a page from the phone is better

// One page serves all vehicles of a study.
const bayOf = (url) => url.pathname.match(/^\/studies\/[^/]+\/bay(?=\/|$)/)?.[0];

const keep = async (path) => {
  const answer = await fetch(path, { credentials: "same-origin", cache: "no-store" });
  if (answer.ok && !answer.redirected) await (await caches.open(pages)).put(path, answer);
};

self.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    await (await caches.open(assets)).addAll(setting.assets);
    // A kept page asks for the assets of its time.
    const kept = await (await caches.open(pages)).keys();
    await Promise.allSettled(kept.map((request) => keep(new URL(request.url).pathname)));
    await self.skipWaiting();
  })());
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) {
      if (name.startsWith("beadspan-assets-") && name !== assets) await caches.delete(name);
    }
    await self.clients.claim();
  })());
});

const page = async (request, path) => {
  const kept = await (await caches.open(pages)).match(path);
  try {
    const answer = await fetch(request, kept ? { signal: AbortSignal.timeout(patience) } : {});
    if (answer.ok) await (await caches.open(pages)).put(path, answer.clone());
    return answer.status >= 500 && kept ? kept : answer;
  } catch (error) {
    if (kept) return kept;
    throw error;
  }
};

const asset = async (request) => (await caches.match(request)) ?? fetch(request);

// Whoever signs out leaves no fleet on the phone. What still waits to be sent
// stays, for the one who logged it.
const forget = async () => {
  await caches.delete(pages);
  await new Promise((done) => {
    const opening = indexedDB.open("beadspan");
    opening.onupgradeneeded = () => opening.transaction.abort(); // there is none: leave it so
    opening.onerror = done;
    opening.onsuccess = () => {
      const db = opening.result;
      if (!db.objectStoreNames.contains("known")) { db.close(); done(); return; }
      const clearing = db.transaction("known", "readwrite");
      clearing.objectStore("known").clear();
      clearing.oncomplete = clearing.onabort = () => { db.close(); done(); };
    };
  });
};

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (url.origin !== location.origin) return;
  if (event.request.method === "POST" && url.pathname === "/sign-out") event.waitUntil(forget());
  if (event.request.method !== "GET") return;
  const bay = bayOf(url);
  if (event.request.mode === "navigate" && bay) event.respondWith(page(event.request, bay));
  else if (setting.assets.includes(url.pathname)) event.respondWith(asset(event.request));
});
