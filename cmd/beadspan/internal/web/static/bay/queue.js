// What was logged on this phone and goes to the server: once, in the order in
// which it was logged, whenever the server can be reached.
import * as db from "./db.js";
import { address, setting } from "./words.js";

// The states of an entry: held, a photo of a visit that isn't saved yet; waiting
// to be sent; sent and stored; proposed, sent, but a stored record says otherwise
// and somebody has to decide; refused by the server, which said why.
const keepSentFor = 7 * 24 * 3600 * 1000;

const listeners = new Set();

// state is what the phone knows of its way to the server.
export const state = { entries: [], reached: true, signedOut: false, trouble: null };

// onChange has a function called whenever the queue or the way has changed.
export const onChange = (listener) => listeners.add(listener);

const changed = async () => {
  state.entries = (await db.all("queue")).filter((entry) => entry.study === setting.study);
  for (const listener of listeners) listener();
};

// reached notes whether the server answered.
export const reached = (is) => {
  if (state.reached === is) return;
  state.reached = is;
  for (const listener of listeners) listener();
};

// refresh reads the queue again, where something else was put into it.
export const refresh = () => changed();

// waiting lists what is still to be sent by this account.
export const waiting = () => state.entries.filter((e) => e.state === "waiting" && e.account === setting.account);

// open reads the queue, and forgets what was sent long ago. A photo whose visit
// is no draft any more, as when two were begun, goes to the server by itself.
export const open = async () => {
  const drafts = new Set((await db.all("drafts")).map((draft) => draft.id));
  for (const entry of await db.all("queue")) {
    if (entry.state === "sent" && entry.sentAt < Date.now() - keepSentFor) await db.remove("queue", entry.id);
    if (entry.state === "held" && !drafts.has(entry.visit)) await db.put("queue", { ...entry, state: "waiting" });
  }
  await changed();
};

// add puts something logged into the queue, with the photos that were taken
// meanwhile, and takes its draft away. Without a body there are only photos.
export const add = async (kind, vehicle, body, draft, photos = []) => {
  const entries = photos.map((photo) => ({ ...photo, state: "waiting", loggedAt: Date.now() }));
  if (body) entries.push({ id: body.id, study: setting.study, account: setting.account, kind, vehicle, body, draft, state: "waiting", loggedAt: Date.now() });
  await db.enqueue(entries, draft ? [draft.study, draft.vehicle] : null);
  await changed();
  send();
};

// change makes an entry a draft again. One that was sent keeps its id, so that
// what is then different becomes a proposed amendment.
export const change = async (entry) => {
  await db.reopen(entry.draft, entry.state === "sent" || entry.state === "proposed" ? null : entry.id);
  await changed();
};

// again has a refused entry sent once more.
export const again = async (entry) => {
  await db.put("queue", { ...entry, state: "waiting", message: null, problems: null });
  await changed();
  send();
};

// discard takes an entry off the phone.
export const discard = async (entry) => {
  if (entry.kind === "photo") await db.letPhotoGo(entry.id);
  else await db.remove("queue", entry.id);
  await changed();
};

let sending = false;
let moreToSend = false;

// send sends what waits, one after the other, until the server can't be
// reached. Two pages that send at once do no harm: the server knows the ids.
export const send = async () => {
  moreToSend = true;
  if (sending) return;
  sending = true;
  try {
    while (moreToSend) {
      moreToSend = false;
      for (const entry of waiting().sort((a, b) => (a.id < b.id ? -1 : 1))) {
        if (!(await sendOne(entry))) return;
      }
    }
  } finally {
    sending = false;
  }
};

// sendOne reports whether the next is worth trying.
const sendOne = async (entry) => {
  let answer, body;
  try {
    answer = await (entry.kind === "photo" ? sendPhoto(entry) : sendRecord(entry));
    body = await answer.json().catch(() => null);
  } catch {
    reached(false);
    return false;
  }
  state.trouble = answer.status === 507 ? (body?.message ?? null) : null;
  reached(answer.status < 500 || state.trouble !== null);
  if (state.trouble) {
    await changed(); // the server is there and has no room: it waits
    return false;
  }
  if (answer.ok && body?.result) {
    state.signedOut = false;
    const result = body.result === "proposed" ? "proposed" : "sent";
    await settle({ ...entry, state: result, sentAt: Date.now(), differs: body.waiting ?? null });
    return true;
  }
  if (answer.status === 401) {
    state.signedOut = true;
    await changed();
    return false;
  }
  if ([400, 403, 404, 413, 422].includes(answer.status)) {
    await settle({ ...entry, state: "refused", message: body?.message ?? null, problems: body?.problems ?? null });
    return true;
  }
  return false;
};

const sendRecord = (entry) => fetch(entry.kind === "job" ? address.jobs : address.visits, {
  method: "POST", headers: { "Content-Type": "application/json", Accept: "application/json" },
  body: JSON.stringify(entry.body), signal: AbortSignal.timeout(30000),
});

// sendPhoto sends a picture, with what it is of in the address.
const sendPhoto = async (entry) => {
  const kept = await db.get("photos", entry.id);
  return fetch(`${address.photos}?${new URLSearchParams(entry.body)}`, {
    method: "POST", headers: { "Content-Type": "image/jpeg", Accept: "application/json" },
    body: kept?.bytes ?? new ArrayBuffer(0), signal: AbortSignal.timeout(120000),
  });
};

// settle stores what became of an entry, unless it was changed meanwhile.
const settle = async (entry) => {
  const now = await db.get("queue", entry.id);
  if (now && JSON.stringify(now.body) === JSON.stringify(entry.body)) {
    if (entry.kind === "photo" && entry.state === "sent") await db.letPhotoGo(entry.id, entry);
    else await db.put("queue", entry);
  }
  await changed();
};
