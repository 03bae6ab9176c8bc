// What was logged on this phone and goes to the server: once, in the order in
// which it was logged, whenever the server can be reached.
import * as db from "./db.js";
import { address, setting } from "./words.js";

// The states of an entry: waiting to be sent; sent and stored; proposed, sent,
// but a stored record says otherwise and somebody has to decide; refused by the
// server, which said why.
const keepSentFor = 7 * 24 * 3600 * 1000;

const listeners = new Set();

// state is what the phone knows of its way to the server.
export const state = { entries: [], reached: true, signedOut: false };

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

// waiting lists what is still to be sent by this account.
export const waiting = () => state.entries.filter((e) => e.state === "waiting" && e.account === setting.account);

// open reads the queue, and forgets what was sent long ago.
export const open = async () => {
  for (const entry of await db.all("queue")) {
    if (entry.state === "sent" && entry.sentAt < Date.now() - keepSentFor) await db.remove("queue", entry.id);
  }
  await changed();
};

// add puts something logged into the queue, and takes its draft away.
export const add = async (kind, vehicle, body, draft) => {
  const entry = { id: body.id, study: setting.study, account: setting.account, kind, vehicle, body, draft, state: "waiting", loggedAt: Date.now() };
  await db.enqueue(entry, draft ? [draft.study, draft.vehicle] : null);
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
  await db.remove("queue", entry.id);
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
    answer = await fetch(entry.kind === "job" ? address.jobs : address.visits, {
      method: "POST", headers: { "Content-Type": "application/json", Accept: "application/json" },
      body: JSON.stringify(entry.body), signal: AbortSignal.timeout(30000),
    });
    body = await answer.json().catch(() => null);
  } catch {
    reached(false);
    return false;
  }
  reached(answer.status < 500);
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

// settle stores what became of an entry, unless it was changed meanwhile.
const settle = async (entry) => {
  const now = await db.get("queue", entry.id);
  if (now && JSON.stringify(now.body) === JSON.stringify(entry.body)) await db.put("queue", entry);
  await changed();
};
