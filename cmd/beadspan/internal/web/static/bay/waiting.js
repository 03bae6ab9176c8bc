// What was logged on this phone, and what became of it.
import * as queue from "./queue.js";
import { button, el, replace } from "./dom.js";
import { address, date, say, sayCount, setting, time } from "./words.js";

// entryLine shows one entry; change, if there is one, opens it again.
export const entryLine = (entry, { change }) => el("li", { class: `entry ${entry.state}`, "data-entry": entry.state },
  el("p", {}, el("strong", {}, entry.vehicle), ` · ${what(entry)} · ${date(entry.body.day ?? entry.body.applied)} ${time(entry.loggedAt)}`),
  el("p", { class: "state" }, stateWords(entry)),
  entry.differs && el("ul", {}, entry.differs.flatMap((a) => a.changes.map((c) => el("li", {}, `${a.record}: ${say(fields[c.field] ?? c.field)} `, el("del", {}, c.before || "–"), " → ", el("ins", {}, c.after || "–"))))),
  entry.problems && el("ul", {}, entry.problems.map((p) => el("li", {}, [p.field, p.got, p.want].filter(Boolean).join(": ")))),
  el("p", {},
    change && entry.kind !== "photo" && (entry.draft || entry.state !== "sent") && button({ class: "second" }, change, say("bay.change")),
    entry.state === "refused" && button({ class: "second" }, () => queue.again(entry), say("bay.again")),
    entry.state === "refused" && discardButton(entry)));

const what = (entry) => {
  switch (entry.kind) {
    case "job": return say("bay.job");
    case "photo": return `${say("bay.photo_of", { patch: entry.body.patch })}, ${say(`stage.${entry.body.stage}`)}`;
  }
  return say("bay.visit");
};

// fields are the words for what may differ in a reading or checkup.
const fields = {
  angles_deg: "bay.angles", sheet_time_s: "bay.sheet_time", wet_share_pct: "bay.wet_share", bead_grade: "bay.grade", note: "bay.note",
};

const stateWords = (entry) => {
  switch (entry.state) {
    case "sent": return say("bay.state_sent");
    case "proposed": return say("bay.state_proposed");
    case "refused": return `${say("bay.state_refused")} ${entry.message ?? ""}`;
  }
  return entry.account === setting.account ? say("bay.state_waiting") : say("bay.state_other", { name: entry.account });
};

// changeEntry opens what was logged again.
export const changeEntry = async (entry, go) => {
  if (entry.kind === "job") {
    go(address.job(entry.vehicle, entry.id));
    return;
  }
  await queue.change(entry);
  go(address.vehicle(entry.vehicle));
};

// discardButton asks once more before anything logged leaves the phone unsent.
const discardButton = (entry) => {
  let sure = false;
  const b = button({ class: "second" }, () => {
    if (sure) { queue.discard(entry); return; }
    sure = true;
    b.textContent = say("bay.discard_sure");
  }, say("bay.discard"));
  return b;
};

// waitingView lists the queue.
export const waitingView = async (place, { go }) => {
  const show = () => {
    document.title = `${say("bay.queue")} · beadspan`;
    const entries = queue.state.entries.filter((e) => e.state !== "held").sort((a, b) => b.loggedAt - a.loggedAt);
    replace(place, el("h1", {}, say("bay.queue")),
      el("p", {}, sayCount("bay.waiting", queue.waiting().length)),
      queue.waiting().length > 0 && el("p", {}, button({ "data-key": "send" }, () => queue.send(), say("bay.send_now"))),
      el("ul", { class: "entries" }, entries.map((entry) => entryLine(entry, {
        change: () => changeEntry(entry, go),
      }))),
      entries.length === 0 && el("p", {}, say("bay.queue_empty")));
  };
  show();
  return { show, close: () => {} };
};
