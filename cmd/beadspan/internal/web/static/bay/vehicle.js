// The screen of one vehicle: its panels, and the visit that is being logged.
import * as db from "./db.js";
import * as known from "./known.js";
import * as queue from "./queue.js";
import { button, el, replace } from "./dom.js";
import { ofKeyboard, pad } from "./pad.js";
import * as photos from "./photos.js";
import { panel } from "./panel.js";
import { changeEntry, entryLine } from "./waiting.js";
import { address, date, number, panelWord, say, setting, today } from "./words.js";
import { newDraft, stages, Visit } from "./visit.js";

const gentleCare = ["maintenance_wash", "decon_wash", "iron_remover", "topper", "polish", "clay"];
const graveCare = ["polish_through", "film_replaced", "repaint", "recoat", "sold", "lost"];

// vehicleView shows a vehicle in a place until it is closed. leave goes back.
export const vehicleView = async (place, code, { go, tell }) => {
  let vehicle = known.vehicle(code);
  const draft = await db.get("drafts", [setting.study, code]);
  const read = () => (vehicle?.patches ?? []).filter((p) => p.standing !== "ended").map((p) => p.code);
  const visit = new Visit(draft ?? newDraft(setting.study, code, today()), read(), setting.protocol);
  visit.opened = new Set();

  const keep = () => {
    return db.put("drafts", visit.draft).catch(() => tell(say("bay.not_kept")));
  };
  const acts = {
    activate: (target) => visit.activate(target.patch, target.field, target.index ?? 0),
    setStage: (stage) => visit.setStage(stage),
    setDay: (day) => visit.step((draft) => { draft.day = day; }),
    setGrade: (patch, grade) => visit.setGrade(patch, grade),
    setNote: (patch, text) => visit.step(() => visit.edit(patch, (r) => { r.note = text; })),
    toggleCare: (kind, patch) => visit.toggleCare(kind, patch),
    startWatch: (patch) => visit.startWatch(patch),
    stopWatch: () => visit.stopWatch(),
    undo: () => visit.undo(),
    erase: () => visit.erase(),
    next: () => visit.next(),
    size: () => visit.asSize(),
    takePhoto: (patch) => photos.pick((file) => keepPhoto(file, patch)),
    dropPhoto: (entry) => queue.discard(entry),
  };
  const act = (name, ...values) => {
    const inSlot = document.activeElement?.classList.contains("slot");
    if (acts[name]) acts[name](...values);
    else visit.type(name);
    keep();
    show();
    const { active } = visit.draft;
    const slot = active && place.querySelector(`[data-key="${CSS.escape(`${active.patch}-${active.field}-${active.index}`)}"]`);
    if (inSlot) (slot ?? place.querySelector('[data-key="save"]'))?.focus({ preventScroll: true });
    slot?.closest(".panel-card").scrollIntoView({ block: "nearest" });
  };

  const keepPhoto = async (file, patch) => {
    const { id, stage, day } = visit.draft;
    await keep(); // a photo belongs to a visit that is there
    const why = await photos.take(file, { visit: id, vehicle: code, patch, stage, day });
    visit.noPhoto = why && { patch, why };
    show();
    tell(why ?? say("bay.photo_kept", { patch }));
    place.querySelector(`[data-key="${CSS.escape(patch)}-photo"]`)?.focus({ preventScroll: true });
  };

  const save = async () => {
    visit.finish();
    const taken = photos.held(visit.draft.id).map((e) => ({ ...e, body: { ...e.body, day: visit.draft.day } }));
    if (visit.isEmpty() && taken.length === 0) { tell(say("bay.nothing_logged")); return; }
    try {
      await queue.add("visit", code, visit.isEmpty() ? null : visit.body(), visit.draft, taken);
    } catch {
      tell(say("bay.not_kept"));
      return;
    }
    go(address.bay, say("bay.saved", { vehicle: code }));
  };

  const loggedToday = () => queue.state.entries.filter((e) => e.vehicle === code && e.state !== "held" && e.id !== visit.draft.id && (e.state !== "sent" || e.body.day === today()));

  // A visit that was sent stays what it was: that of its day.
  const sentBefore = () => queue.state.entries.some((e) => e.id === visit.draft.id);

  const show = () => {
    vehicle = known.vehicle(code) ?? vehicle;
    visit.patches = read();
    document.title = `${code} · beadspan`;
    if (!vehicle) { replace(place, el("h1", {}, code), el("p", {}, say(known.state.asked ? "bay.not_known" : "bay.not_yet_known"))); return; }
    replace(place,
      el("h1", {}, code, " ", el("span", { class: "faint small" }, vehicle.site)),
      dueOf(vehicle),
      logged(loggedToday(), go),
      stageChips(visit, act),
      visit.draft.stage === null && el("p", { class: "hint ask-stage" }, say("bay.ask_stage")),
      el("ul", { class: "panel-cards" }, vehicle.patches.map((p) => panel(visit, p, act))),
      vehicle.patches.length === 0 && el("p", {}, say("bay.no_panels")),
      careChips(visit, vehicle, act),
      el("label", { class: "visit-note" }, say("bay.visit_note"), el("textarea", { "data-key": "note", rows: 2, maxlength: 2000,
        on: { input: (e) => { visit.draft.note = e.target.value; keep(); } } }, visit.draft.note)),
      el("p", { class: "end" }, button({ class: "save", "data-key": "save" }, save, say("bay.save")),
        button({ class: "second", "data-key": "undo", disabled: visit.past.length === 0 }, () => act("undo"), say("bay.undo"))),
      visit.draft.day !== today() && el("p", { class: "fault" }, say("bay.begun_on", { day: date(visit.draft.day) }), " ",
        !sentBefore() && button({ class: "second", "data-key": "as-today" }, () => act("setDay", today()), say("bay.as_today"))),
      el("p", {}, el("a", { href: address.job(code), "data-go": true }, say("bay.new_job"))),
      visit.draft.active && pad(act));
  };
  const onKey = (event) => {
    const key = visit.draft.active && ofKeyboard(event);
    if (key) { event.preventDefault(); act(key); }
  };
  const tick = setInterval(() => {
    const seconds = place.querySelector(".seconds");
    if (seconds) seconds.textContent = `${number((Date.now() - Number(seconds.dataset.began)) / 1000)} s`;
  }, 100);
  document.addEventListener("keydown", onKey);
  show();
  return { show, close: () => { clearInterval(tick); photos.close(); document.removeEventListener("keydown", onKey); } };
};

const dueOf = (vehicle) => vehicle.due?.length > 0 && el("ul", { class: "due-now" }, vehicle.due.map((d) =>
  el("li", {}, say(`due.${d.kind}`), d.patches?.length ? el("span", { class: "code" }, ` ${d.patches.join(" ")}`) : "")));

const logged = (entries, go) => entries.length > 0 && el("ul", { class: "entries" },
  entries.map((entry) => entryLine(entry, { change: () => changeEntry(entry, go) })));

const stageChips = (visit, act) => el("div", { class: "chips stages", role: "group", "aria-label": say("bay.stage") },
  stages.map((stage) => button({ class: "chip", "data-key": `stage-${stage}`, "aria-pressed": String(visit.draft.stage === stage) },
    () => act("setStage", stage), say(`stage.${stage}`))));

const has = (visit, kind, patch) => visit.draft.care.some((c) => c.kind === kind && c.patch === patch);

// careChips is what was done today, of the whole vehicle by one tap.
const careChips = (visit, vehicle, act) => {
  const kinds = el("select", {}, graveCare.concat(gentleCare.slice(3)).map((kind) => el("option", { value: kind }, say(`care.${kind}`))));
  const panels = el("select", {}, el("option", { value: "" }, say("bay.whole_vehicle")), vehicle.patches.map((p) => el("option", { value: p.code }, `${p.code} ${panelWord(p.panel)}`)));
  const others = visit.draft.care.filter((c) => c.patch !== "" || !gentleCare.includes(c.kind));
  return el("section", { class: "care", "aria-labelledby": "care-h" },
    el("h2", { id: "care-h" }, say("bay.care")),
    el("div", { class: "chips" }, gentleCare.map((kind) => button({ class: "chip", "data-key": `care-${kind}`, "aria-pressed": String(has(visit, kind, "")) },
      () => act("toggleCare", kind, ""), say(`care.${kind}`)))),
    others.length > 0 && el("ul", { class: "others" }, others.map((c) => el("li", {}, `${say(`care.${c.kind}`)} · ${c.patch || say("bay.whole_vehicle")} `,
      button({ class: "second", "data-key": `undo-${c.kind}-${c.patch}` }, () => act("toggleCare", c.kind, c.patch), say("bay.take_away"))))),
    warnings(visit, vehicle).map((text) => el("p", { class: "warning" }, text)),
    el("details", {}, el("summary", { "data-key": "care-more" }, say("bay.other_care")),
      el("div", { class: "row" }, el("label", {}, say("bay.what"), kinds), el("label", {}, say("bay.where"), panels),
        button({ class: "second", "data-key": "care-add" }, () => act("toggleCare", kinds.value, panels.value), say("bay.add")))));
};

const washFreeDays = 7;
const washes = ["maintenance_wash", "iron_remover", "decon_wash"];

// warnings say where the care leaves common practice, as the study's own do.
const warnings = (visit, vehicle) => {
  const age = (p) => Math.round((Date.parse(visit.draft.day) - Date.parse(p.applied)) / 86400000);
  const said = new Set();
  for (const c of visit.draft.care) {
    for (const p of vehicle.patches) {
      if ((c.patch && c.patch !== p.code) || age(p) <= 0) continue;
      if (c.kind === "clay" && p.substrate !== "paint") said.add(say("practice.clay", { patch: p.code, substrate: say(`substrate.${p.substrate}`) }));
      else if (washes.includes(c.kind) && age(p) < washFreeDays) said.add(say("practice.wash_early", { days: age(p), patch: p.code }));
    }
  }
  return [...said];
};
