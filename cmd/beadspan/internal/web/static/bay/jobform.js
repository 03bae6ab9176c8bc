// The form for a coating job: one coating on panels of one vehicle, with the
// conditions of the job and what common practice would say of them.
import * as known from "./known.js";
import * as queue from "./queue.js";
import { button, el, replace } from "./dom.js";
import { newID } from "./id.js";
import { address, number, panelWord, say, setting, today } from "./words.js";

// The usual panels, with the code and the way each faces.
const panels = [
  ["BN", "bonnet", "horizontal"], ["RF", "roof", "horizontal"], ["BL", "boot lid", "horizontal"],
  ["LD", "left door", "vertical"], ["RD", "right door", "vertical"], ["LW", "left wing", "vertical"], ["RW", "right wing", "vertical"],
  ["LQ", "left rear quarter", "vertical"], ["RQ", "right rear quarter", "vertical"], ["FB", "front bumper", "vertical"], ["RB", "rear bumper", "vertical"],
];

const conditions = ["air_temp_c", "humidity_pct", "prep_alcohol_pct", "layers", "layer_interval_h", "flash_s", "keep_dry_h"];

// jobView shows the form in a place, for a vehicle or, without a code, a new
// one; or filled in as an entry of the queue that is to be changed.
export const jobView = async (place, code, { go, tell }, entryID = null) => {
  const before = queue.state.entries.find((e) => e.id === entryID && e.kind === "job" && e.state !== "sent")?.body;
  document.title = `${say("bay.new_job")} · beadspan`;
  const form = el("form", { class: "job", novalidate: true });
  const field = (name, label, attributes = {}, listed = null) => el("label", {}, label,
    listed ? el("select", { name, "data-key": name, ...attributes }, listed.map(([value, word]) => el("option", { value }, word)))
      : el("input", { name, "data-key": name, autocomplete: "off", ...attributes }));
  const words = (head, values) => values.map((value) => [value, say(`${head}.${value}`)]);
  const warned = el("div", { class: "warnings", role: "status" });

  const picks = el("fieldset", {}, el("legend", {}, say("bay.panels")), el("div", { class: "picks" }, panels.map(([short, panel]) =>
    el("label", { class: "pick" }, el("input", { type: "checkbox", name: "panel", value: short, "data-key": `panel-${short}` }), panelWord(panel), " ", el("span", { class: "code" }, short)))));
  const other = el("div", { class: "row" }, field("other_code", say("bay.other_code"), { maxlength: 20 }), field("other_panel", say("bay.other_panel"), { maxlength: 60 }),
    field("other_orientation", say("bay.faces"), {}, words("orientation", ["horizontal", "vertical"])));
  const site = field("site", say("bay.site"), {}, []);
  const noSites = el("p", { class: "hint" }, say("bay.no_sites"));
  const shop = field("shop", say("bay.shop"), {}, []);
  const isNew = el("fieldset", { class: "new-vehicle" }, el("legend", {}, say("bay.new_vehicle")),
    site, noSites, shop, field("garage", say("bay.garage"), {}, [["", "–"], ...words("garage", ["indoors", "carport", "outdoors"])]));
  const coatings = el("datalist", { id: "coatings" });
  // offer lists what is known to choose from, which may come once the form is open.
  const offer = () => {
    list(site.querySelector("select"), known.sites().map((s) => [s.code, s.name ? `${s.code}, ${s.name}` : s.code]));
    noSites.hidden = known.sites().length > 0;
    list(shop.querySelector("select"), [["", "–"], ...known.shops().map((s) => [s, s])]);
    shop.hidden = known.shops().length === 0;
    list(coatings, known.coatings().map((c) => [c.code, c.name]));
  };

  form.append(
    field("vehicle", say("bay.vehicle_code"), { value: code, required: true, autocapitalize: "characters", spellcheck: "false" }), isNew,
    field("coating", say("bay.coating"), { list: "coatings", required: true, autocapitalize: "characters", spellcheck: "false" }), coatings, picks,
    el("details", {}, el("summary", { "data-key": "other-panel" }, say("bay.another_panel")), other),
    el("div", { class: "row" }, field("substrate", say("bay.substrate"), {}, words("substrate", ["paint", "film", "wrap"])),
      field("finish", say("bay.finish"), {}, words("finish", ["gloss", "satin", "matte"])), field("applied", say("bay.applied"), { type: "date", value: today(), required: true })),
    el("fieldset", {}, el("legend", {}, say("bay.conditions")), el("p", { class: "hint" }, say("bay.conditions_hint")),
      el("div", { class: "row" }, conditions.map((name) => field(name, say(`condition.${name}`), { inputmode: "decimal" })))),
    warned, field("note", say("bay.note"), { maxlength: 500 }),
    el("p", { class: "end" }, el("button", { class: "save" }, say("bay.save_job"))));

  const value = (name) => form.elements[name]?.value.trim() ?? "";
  const numberOf = (name) => (value(name) === "" ? null : Number(value(name).replace(",", ".")));
  const chosen = () => {
    const list = panels.filter(([short]) => [...form.querySelectorAll("[name=panel]:checked")].some((box) => box.value === short));
    if (value("other_panel")) list.push([value("other_code") || value("other_panel").toUpperCase().replace(/\W/g, "").slice(0, 6), value("other_panel"), value("other_orientation")]);
    return list;
  };

  const look = () => {
    isNew.hidden = known.vehicle(value("vehicle"), entryID) !== undefined;
    replace(warned, warnings(Object.fromEntries(conditions.map((name) => [name, numberOf(name)]))).map((text) => el("p", { class: "warning" }, text)));
  };
  const wrong = () => {
    if (value("vehicle") === "") return say("bay.need_vehicle");
    if (!isNew.hidden && value("site") === "") return say("bay.no_sites");
    if (value("coating") === "") return say("bay.need_coating");
    if (chosen().length === 0) return say("bay.need_panel");
    if (!/^\d{4}-\d{2}-\d{2}$/.test(value("applied"))) return say("bay.need_day");
    const bad = conditions.find((name) => Number.isNaN(numberOf(name)));
    return bad ? say("bay.need_number", { field: say(`condition.${bad}`) }) : null;
  };

  form.addEventListener("input", look);
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const problem = wrong();
    if (problem) { tell(problem); return; }
    const vehicle = value("vehicle");
    // What is changed keeps its ids: the first try may have reached the server.
    const patchID = (short) => before?.patches.find((p) => p.code === short)?.id ?? newID();
    await queue.add("job", vehicle, {
      id: before?.id ?? newID(), vehicle, site: isNew.hidden ? "" : value("site"), shop: isNew.hidden ? "" : value("shop"), garage: isNew.hidden ? "" : value("garage"),
      coating: value("coating"), coating_id: before?.coating_id ?? newID(), applied: value("applied"), substrate: value("substrate"), finish: value("finish"), note: value("note"),
      patches: chosen().map(([short, panel, orientation]) => ({ id: patchID(short), code: short, panel, orientation })),
      job: Object.fromEntries(conditions.map((name) => [name, numberOf(name)])),
    });
    go(address.vehicle(vehicle), say("bay.job_saved", { vehicle }));
  });
  const show = () => { offer(); look(); };
  offer();
  if (before) fill(form, before);
  place.replaceChildren(el("h1", {}, say("bay.new_job")), form);
  look();
  return { show, close: () => {} };
};

// list gives a place other options and keeps what was chosen. One that has them
// already stays as it is, so that an open list isn't closed.
const list = (place, options) => {
  const told = JSON.stringify(options);
  if (place.dataset.options === told) return;
  const chosen = place.value;
  place.dataset.options = told;
  place.replaceChildren(...options.map(([value, word]) => el("option", { value }, word)));
  if (options.some(([value]) => value === chosen)) place.value = chosen;
};

// fill puts what was logged back into the form.
const fill = (form, body) => {
  for (const name of ["vehicle", "site", "shop", "garage", "coating", "applied", "substrate", "finish", "note"]) {
    if (form.elements[name] && body[name]) form.elements[name].value = body[name];
  }
  for (const name of conditions) form.elements[name].value = body.job[name] ?? "";
  for (const p of body.patches) {
    const box = form.querySelector(`[name=panel][value="${CSS.escape(p.code)}"]`);
    if (box) box.checked = true;
    else [form.elements.other_code.value, form.elements.other_panel.value, form.elements.other_orientation.value] = [p.code, p.panel, p.orientation];
  }
};

// warnings say where the conditions leave common practice, by the study's limits.
const warnings = (job) => {
  const list = setting.practice.filter(({ column, low, high }) => {
    const x = job[column];
    return x !== null && x !== undefined && !Number.isNaN(x) && ((low !== null && x < low) || (high !== null && x > high));
  }).map(({ column }) => `${say(`condition.${column}`)} ${number(job[column], Number.isInteger(job[column]) ? 0 : 1)}: ${say(`practice.${column}`)}`);
  if (job.layers === 1 && job.layer_interval_h !== null) list.push(say("practice.one_layer"));
  return list;
};
