// One panel of a vehicle: how it stood last, what has been read of it today,
// and what that means.
import { button, drawing, el, standing } from "./dom.js";
import { mean } from "./judge.js";
import * as photos from "./photos.js";
import { date, number, panelWord, say, typed } from "./words.js";

// panel shows the patch. act(name, value) does something and shows it.
export const panel = (visit, patch, act) => {
  const open = visit.draft.stage !== null && patch.standing !== "ended";
  return el("li", { class: "panel-card", "data-patch": patch.code },
    el("h2", {}, panelWord(patch.panel), " ", el("span", { class: "code" }, patch.code)),
    lastTime(patch),
    open && drops(visit, patch, act),
    feedback(visit, patch, act),
    open && more(visit, patch, act));
};

const lastTime = (patch) => el("p", { class: "last" },
  patch.control ? say("bay.control") : standing(patch.standing, say(`standing.${patch.standing}`)),
  el("span", { class: "faint" }, [patch.coating, patch.last_day && date(patch.last_day),
    patch.last_mean_deg !== null && patch.last_mean_deg !== undefined && `${number(patch.last_mean_deg)}°`].filter(Boolean).join(" · ")));

const isActive = (visit, target) => {
  const a = visit.draft.active;
  return a !== null && a.patch === target.patch && a.field === target.field && a.index === (target.index ?? 0);
};

// slot is a field that the pad's digits go to.
const slot = (visit, target, label, unit, act) => {
  const text = visit.text(target);
  return button({
    class: "slot", "data-key": `${target.patch}-${target.field}-${target.index ?? 0}`, "aria-pressed": String(isActive(visit, target)),
  }, () => act("activate", target), el("span", { class: target.field === "angle" ? "unseen" : "slot-label" }, `${label} `),
    el("span", { class: "slot-text" }, text === "" ? "–" : typed(text)), el("span", { class: "slot-unit" }, unit));
};

const drops = (visit, patch, act) => {
  const { active } = visit.draft;
  const bySize = active?.patch === patch.code && (active.field === "height" || active.field === "width");
  const n = visit.slots(patch.code);
  const row = el("div", { class: "slots", role: "group", "aria-label": say("bay.angles") });
  for (let index = 0; index < n; index++) {
    row.append(slot(visit, { patch: patch.code, field: "angle", index }, say("bay.drop", { n: index + 1 }), "°", act));
  }
  const filled = visit.reading(patch.code).angles.filter(Boolean).length;
  if (filled >= 3 && filled === n && n < 20) {
    row.append(button({ class: "slot more", "data-key": `${patch.code}-more`, "aria-label": say("bay.more_drop") },
      () => act("activate", { patch: patch.code, field: "angle", index: n }), "+"));
  }
  if (!bySize) return row;
  return el("div", {}, row, el("div", { class: "slots" },
    slot(visit, { patch: patch.code, field: "height", index: active.index }, say("bay.height"), "mm", act),
    slot(visit, { patch: patch.code, field: "width", index: active.index }, say("bay.width"), "mm", act)),
    el("p", { class: "hint" }, say("bay.size_hint")));
};

// more is what can be read beside the angles. A study that goes by it has it
// open from the start.
const more = (visit, patch, act) => {
  const r = visit.reading(patch.code);
  const used = photos.of(visit.draft.id, patch.code).length > 0 || r.sheet !== "" || r.wet !== "" || r.grade !== null || visit.protocol.metric !== "angle";
  const running = visit.draft.watch?.patch === patch.code;
  const opened = visit.opened.has(patch.code) || used || running;
  return el("details", { class: "more", open: opened, on: { toggle: (e) => visit.opened[e.target.open ? "add" : "delete"](patch.code) } },
    el("summary", { "data-key": `${patch.code}-more-summary` }, say("bay.more")),
    el("div", { class: "row" }, sheeting(visit, patch, running, act),
      slot(visit, { patch: patch.code, field: "sheet" }, say("bay.sheet_time"), "s", act),
      slot(visit, { patch: patch.code, field: "wet" }, say("bay.wet_share"), "%", act)),
    grades(visit, patch, r, act), photos.row(visit, patch, act), note(visit, patch, act));
};

const sheeting = (visit, patch, running, act) => running
  ? button({ class: "watch running", "data-key": `${patch.code}-watch` }, () => act("stopWatch"), say("bay.clear"), " ",
    el("span", { class: "seconds", "data-began": visit.draft.watch.began }, ""))
  : button({ class: "watch", "data-key": `${patch.code}-watch`, disabled: visit.draft.watch !== null }, () => act("startWatch", patch.code), say("bay.hose_off"));

const grades = (visit, patch, r, act) => el("div", { class: "grades", role: "group", "aria-label": say("bay.grade") },
  [1, 2, 3, 4, 5].map((grade) => button({
    class: "grade", "data-key": `${patch.code}-grade-${grade}`, "aria-pressed": String(r.grade === grade), "aria-label": `${grade}: ${say(`grade.${grade}`)}`,
  }, () => act("setGrade", patch.code, grade), drawing(`grade-${grade}`), el("span", {}, String(grade)))));

const note = (visit, patch, act) => el("label", {}, say("bay.note"),
  el("input", { "data-key": `${patch.code}-note`, value: visit.reading(patch.code).note, maxlength: 500, on: { change: (e) => act("setNote", patch.code, e.target.value) } }));

// feedback says what the readings so far prove, and what to do next.
const feedback = (visit, patch, act) => {
  if (visit.draft.stage === null) return null;
  const outcome = patch.control ? "unread" : visit.outcome(patch.code);
  const angles = visit.measured(patch.code)?.angles_deg ?? [];
  const lines = [];
  if (angles.length > 0) lines.push(el("span", { class: "mean" }, say("bay.mean", { angle: number(mean(angles)) })));
  if (visit.scattered(patch.code)) lines.push(el("span", { class: "ask" }, say("bay.take_another")));
  if (outcome !== "unread") lines.push(el("strong", { class: `outcome ${outcome}` }, outcomeWords(visit, outcome)));
  if (outcome === "doubtful" && visit.draft.stage !== "decon") lines.push(button({ class: "second", "data-key": `${patch.code}-decon` }, () => act("setStage", "decon"), say("bay.to_decon")));
  return lines.length > 0 && el("p", { class: "feedback" }, lines);
};

const outcomeWords = (visit, outcome) => {
  switch (outcome) {
    case "holding": return say("bay.passes");
    case "masked": return say("bay.masked");
    case "doubtful": return say("bay.doubtful");
    case "contrary": return say("bay.contrary");
  }
  return visit.protocol.confirm > 1 ? say("bay.fails_unconfirmed") : say("bay.fails");
};
