// A visit while it is being logged: what was typed so far, where the next digit
// goes, and every step back. It is kept on the phone after each step.
import { capAngleDeg, judge, scattered } from "./judge.js";
import { newID } from "./id.js";

export const stages = ["arrival", "washed", "decon"];
const usualDrops = 3;
const enoughDrops = 5; // no more are asked for
const mostDrops = 20;
const stepsBack = 200;

// careOfStage is what was done before readings of the stage.
const careOfStage = { washed: "maintenance_wash", decon: "decon_wash" };

export const newDraft = (study, vehicle, day) => ({
  id: newID(), study, vehicle, day, stage: null, note: "", readings: {}, care: [], active: null, watch: null,
});

const emptyReading = () => ({ angles: [], sizes: {}, sheet: "", wet: "", grade: null, note: "" });
const numbers = (texts) => texts.filter((text) => text !== "" && text !== ".").map(Number);

// Visit is a draft with what can be done to it. patches are the codes of those
// to read, in the order in which they are read.
export class Visit {
  constructor(draft, patches, protocol) {
    this.draft = draft;
    this.patches = patches;
    this.protocol = protocol;
    this.past = [];
  }

  key(patch, stage = this.draft.stage) { return `${patch}|${stage}`; }
  reading(patch, stage) { return this.draft.readings[this.key(patch, stage)] ?? emptyReading(); }

  // step does something that can be undone.
  step(act) {
    const before = JSON.stringify(this.draft);
    act(this.draft);
    if (JSON.stringify(this.draft) === before) return;
    this.past.push(before);
    if (this.past.length > stepsBack) this.past.shift();
  }

  undo() {
    const before = this.past.pop();
    if (before) this.draft = JSON.parse(before);
    return Boolean(before);
  }

  // edit changes the reading of a patch at the stage.
  edit(patch, change) {
    const key = this.key(patch);
    this.draft.readings[key] ??= emptyReading();
    change(this.draft.readings[key]);
  }

  setStage(stage) {
    this.step((draft) => {
      draft.stage = stage;
      const kind = careOfStage[stage];
      if (kind && !draft.care.some((c) => c.kind === kind && !c.patch)) draft.care.push({ id: newID(), kind, patch: "", note: "" });
      draft.active = null;
      this.#toFirstEmpty();
    });
  }

  toggleCare(kind, patch = "") {
    this.step((draft) => {
      const had = draft.care.length;
      draft.care = draft.care.filter((c) => c.kind !== kind || c.patch !== patch);
      if (draft.care.length === had) draft.care.push({ id: newID(), kind, patch, note: "" });
    });
  }

  setGrade(patch, grade) {
    this.step(() => this.edit(patch, (r) => { r.grade = r.grade === grade ? null : grade; }));
  }

  activate(patch, field, index = 0) { this.draft.active = { patch, field, index }; }

  // slots are how many drops a patch has room for: three, or as many as there
  // are, and one more where they scatter.
  slots(patch) {
    const n = this.reading(patch).angles.filter((text) => text !== "").length;
    const angles = numbers(this.reading(patch).angles);
    const { active } = this.draft;
    const wanted = active?.patch === patch && active.index === n;
    const more = n < mostDrops && (wanted || (n >= usualDrops && n < enoughDrops && scattered(this.protocol, angles)));
    return Math.max(usualDrops, n + (more ? 1 : 0));
  }

  // text is what was typed into a field.
  text({ patch, field, index } = this.draft.active) {
    const r = this.reading(patch);
    switch (field) {
      case "angle": return r.angles[index] ?? "";
      case "height": return r.sizes[index]?.h ?? "";
      case "width": return r.sizes[index]?.w ?? "";
    }
    return r[field];
  }

  #setText(text) {
    const { patch, field, index } = this.draft.active;
    this.edit(patch, (r) => {
      if (field === "angle") {
        while (r.angles.length < index) r.angles.push("");
        r.angles[index] = text;
        delete r.sizes[index];
      } else if (field === "height" || field === "width") {
        r.sizes[index] = { h: "", w: "", ...r.sizes[index], [field[0]]: text };
        const { h, w } = r.sizes[index];
        while (r.angles.length < index) r.angles.push("");
        r.angles[index] = Number(h) > 0 && Number(w) > 0 ? capAngleDeg(Number(h), Number(w)).toFixed(1) : "";
      } else r[field] = text;
    });
  }

  // type takes a digit or the point where the next one goes.
  type(key) {
    if (!this.draft.active) return;
    this.step((draft) => {
      const { patch, field, index } = draft.active;
      let text = this.text();
      if (key === "." && field === "angle" && text === "" && draft.before) {
        draft.active = draft.before; // a point right after a full number belongs to that
        text = this.text();
      }
      draft.before = null;
      if (key === "." ? text.includes(".") || text === "" : text === "0") return;
      const longer = text + key;
      if (!fits(draft.active.field, longer)) return;
      this.#setText(longer);
      if (draft.active.field === "angle" && isFull(longer)) {
        const left = { patch: draft.active.patch ?? patch, field, index: draft.active.index ?? index };
        this.#advance();
        if (!longer.includes(".")) draft.before = left;
      }
    });
  }

  // erase takes the last digit away, of the number before where there is none.
  erase() {
    if (!this.draft.active) return;
    this.step((draft) => {
      if (this.text() === "" && draft.active.field === "angle" && draft.before) draft.active = draft.before;
      draft.before = null;
      if (this.text() !== "") this.#setText(this.text().slice(0, -1));
    });
  }

  // next leaves the field for the one that comes after it.
  next() { this.step((draft) => { draft.before = null; this.#advance(); }); }

  // asSize has the active drop measured by height and width, or by its angle.
  asSize() {
    this.step((draft) => {
      if (!draft.active) return;
      const { patch, field, index } = draft.active;
      draft.active = { patch, field: field === "angle" ? "height" : "angle", index };
    });
  }

  #advance() {
    const { patch, field, index } = this.draft.active ?? {};
    if (field === "height") { this.draft.active = { patch, field: "width", index }; return; }
    if (field === "angle" || field === "width") {
      if (index + 1 < this.slots(patch)) { this.draft.active = { patch, field: field === "width" ? "height" : "angle", index: index + 1 }; return; }
    }
    if (field === "angle" || field === "width") this.#toFirstEmpty(this.patches.indexOf(patch) + 1);
    else this.draft.active = null;
  }

  // toFirstEmpty goes to the first patch from there on without a drop.
  #toFirstEmpty(from = 0) {
    const patch = this.patches.slice(from).find((p) => this.reading(p).angles.filter(Boolean).length === 0);
    this.draft.active = patch === undefined ? null : { patch, field: "angle", index: 0 };
  }

  // startWatch begins the sheeting test: the hose has just stopped.
  startWatch(patch) { this.step((draft) => { draft.watch = { patch, began: Date.now() }; }); }

  // stopWatch ends it: the panel is clear.
  stopWatch() {
    this.step((draft) => {
      if (!draft.watch) return;
      const seconds = Math.min(3600, (Date.now() - draft.watch.began) / 1000);
      this.edit(draft.watch.patch, (r) => { r.sheet = seconds.toFixed(1); });
      draft.watch = null;
    });
  }

  // angles are a reading's drops, without the one that is being typed.
  angles(patch, stage = this.draft.stage) {
    const { active } = this.draft;
    const typing = active?.patch === patch && active.field === "angle" && stage === this.draft.stage ? active.index : -1;
    return numbers(this.reading(patch, stage).angles.filter((text, i) => i !== typing || isFull(text)));
  }

  // measured is a reading as it is sent; null where nothing was measured.
  measured(patch, stage = this.draft.stage) {
    const r = this.reading(patch, stage);
    const sent = {
      patch, stage, angles_deg: this.angles(patch, stage), sheet_time_s: r.sheet === "" ? null : Number(r.sheet),
      wet_share_pct: r.wet === "" ? null : Number(r.wet), bead_grade: r.grade, note: noteOf(r),
    };
    return sent.angles_deg.length + (sent.sheet_time_s !== null) + (sent.wet_share_pct !== null) + (sent.bead_grade !== null) > 0 ? sent : null;
  }

  // outcome is what the visit's readings of a patch prove.
  outcome(patch) {
    return judge(this.protocol, Object.fromEntries(stages.map((stage) => [stage, this.measured(patch, stage)])));
  }

  scattered(patch) { return scattered(this.protocol, this.angles(patch)); }

  // finish ends typing and timing.
  finish() { this.draft.active = this.draft.watch = null; }

  // body is the visit as it is sent.
  body() {
    const { id, vehicle, day, note, care } = this.draft;
    const readings = this.patches.flatMap((patch) => stages.map((stage) => this.measured(patch, stage))).filter(Boolean);
    return { id, vehicle, day, note: note.trim(), readings, care };
  }

  isEmpty() { const b = this.body(); return b.readings.length + b.care.length === 0 && b.note === ""; }
}

// fits reports whether a field may hold the text.
const fits = (field, text) => {
  if (!/^\d{1,4}(\.\d?)?$/.test(text) && !((field === "height" || field === "width") && /^\d{1,2}(\.\d{0,2})?$/.test(text))) return false;
  const most = { angle: 180, wet: 100, sheet: 3600, height: 20, width: 30 }[field];
  return Number(text) <= most;
};

// isFull reports whether no further digit can follow in an angle: three digits,
// two that don't begin with 1, or a decimal.
const isFull = (text) => /^(\d{3}|[02-9]\d|\d+\.\d)$/.test(text);

// noteOf keeps the sizes that angles were computed from.
const noteOf = (r) => {
  const sizes = Object.entries(r.sizes).filter(([, s]) => Number(s.h) > 0 && Number(s.w) > 0)
    .map(([i, s]) => `drop ${Number(i) + 1}: height ${s.h} mm, width ${s.w} mm`);
  return [r.note.trim(), ...sizes].filter(Boolean).join("; ");
};
