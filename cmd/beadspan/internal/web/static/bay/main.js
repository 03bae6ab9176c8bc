// The bay: one page that shows what its address names, with or without a
// network.
import * as known from "./known.js";
import * as queue from "./queue.js";
import { el } from "./dom.js";
import { findView } from "./find.js";
import { jobView } from "./jobform.js";
import { vehicleView } from "./vehicle.js";
import { waitingView } from "./waiting.js";
import { address, say, sayCount, setting } from "./words.js";

const place = document.getElementById("bay");
const news = document.getElementById("news");
const way = document.getElementById("way");
let view = null;
let turn = 0;

// tell says something that has happened.
const tell = (text) => { news.textContent = text; };

// go shows another screen, and says what led there.
const go = (to, said = "") => {
  history.pushState(null, "", to);
  return route().then(() => { if (said) tell(said); });
};

const opened = () => {
  const url = new URL(location.href);
  const code = url.pathname.startsWith(`${address.bay}/`) ? decodeURIComponent(url.pathname.slice(address.bay.length + 1)) : null;
  const views = { go, tell };
  if (code !== null) return vehicleView(place, code, views);
  if (url.searchParams.has("waiting")) return waitingView(place, views);
  if (url.searchParams.has("job")) return jobView(place, url.searchParams.get("job"), views, url.searchParams.get("entry"));
  return findView(place, views);
};

const route = async () => {
  turn++;
  const mine = turn;
  view?.close();
  view = null;
  tell("");
  const next = await opened();
  if (mine !== turn) { next.close(); return; }
  view = next;
  scrollTo(0, 0);
  place.querySelector("h1").tabIndex = -1;
  place.querySelector("h1").focus({ preventScroll: true });
};

// showWay says whether the server is reached and what waits for it.
const showWay = () => {
  const n = queue.waiting().length;
  const troubled = queue.state.entries.filter((e) => e.state === "refused" || e.state === "proposed").length;
  const parts = [];
  if (queue.state.signedOut) parts.push(el("a", { href: `/sign-in?next=${encodeURIComponent(location.pathname)}` }, say("bay.sign_in")));
  else if (!queue.state.reached) parts.push(el("strong", {}, say("bay.offline")));
  if (queue.state.trouble) parts.push(el("strong", {}, queue.state.trouble));
  if (n > 0) parts.push(sayCount("bay.waiting", n));
  if (troubled > 0) parts.push(el("strong", {}, sayCount("bay.troubled", troubled)));
  way.dataset.waiting = n;
  way.replaceChildren(...parts.flatMap((part) => [part, " "]), el("a", { href: address.waiting, "data-go": true }, say("bay.queue")));
};

const changed = () => {
  showWay();
  view?.show();
};

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[data-go]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey || event.button !== 0) return;
  event.preventDefault();
  go(link.getAttribute("href"));
});
addEventListener("popstate", route);

// The server may be away while the network is there, and the browser tells of
// the network only: so ask now and then, sooner while something waits.
const soon = 10000;
const later = 5 * 60000;
let asked = Date.now();
const look = async () => {
  const due = !queue.state.reached || queue.waiting().length > 0 ? soon : later;
  if (Date.now() - asked < due) return;
  asked = Date.now();
  await send();
  if (!queue.state.reached || due === later) await known.refresh(changed);
};
const send = async () => {
  const before = queue.waiting().length;
  await queue.send();
  if (before > queue.waiting().length) await known.refresh(changed);
};
const now = () => { asked = 0; look(); };

const keepForLater = async () => {
  if (!("serviceWorker" in navigator)) return;
  await navigator.serviceWorker.register("/service-worker.js");
  await navigator.serviceWorker.ready;
  const answer = await fetch(address.bay, { cache: "no-store" });
  if (answer.ok && !answer.redirected) await (await caches.open("beadspan-pages")).put(address.bay, answer);
  document.documentElement.dataset.kept = ""; // from now on it opens without a network
};

await queue.open();
await known.open();
queue.onChange(changed);
await route();
showWay();
known.refresh(changed).then(send);
keepForLater().catch(() => {}); // offline, or a browser that keeps nothing
navigator.storage?.persist?.();
setInterval(look, 2000);
addEventListener("online", now);
document.addEventListener("visibilitychange", () => { if (!document.hidden) now(); });
document.documentElement.dataset.ready = setting.study;
