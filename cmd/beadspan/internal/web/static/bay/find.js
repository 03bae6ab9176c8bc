// The first screen: find a vehicle by its code or label, or take the next one
// that is due.
import * as known from "./known.js";
import { button, el, replace } from "./dom.js";
import { canScan, scan } from "./scan.js";
import { address, date, say, sayCount } from "./words.js";

const mostListed = 60;

// findView shows the screen in a place.
export const findView = async (place, { go, tell }) => {
  let search = "";
  const results = el("div", {});
  const camera = el("div", {});
  const start = async () => {
    try {
      const code = await scan(camera);
      if (code) go(address.vehicle(code));
    } catch {
      camera.replaceChildren();
      tell(say("bay.no_camera"));
    }
  };
  const input = el("input", { type: "search", "data-key": "search", autocapitalize: "characters", autocomplete: "off", spellcheck: "false", enterkeyhint: "go",
    on: { input: (e) => { search = e.target.value.trim(); list(); } } });
  const form = el("form", { class: "find", role: "search", on: { submit: (e) => { e.preventDefault(); enter(); } } },
    el("label", {}, say("bay.find"), input), el("button", {}, say("bay.open")));
  const enter = () => {
    const hits = matching();
    const only = hits.find((v) => v.code.toLowerCase() === search.toLowerCase()) ?? (hits.length === 1 ? hits[0] : null);
    if (only) go(address.vehicle(only.code));
    else if (search) tell(hits.length === 0 ? say("bay.none_found", { search }) : sayCount("bay.found", hits.length));
  };
  const matching = () => [...known.vehicles().values()].filter((v) => v.code.toLowerCase().includes(search.toLowerCase()))
    .sort((a, b) => a.code.localeCompare(b.code));
  const list = () => {
    const all = known.vehicles();
    if (search !== "") {
      const hits = matching();
      replace(results, el("h2", {}, sayCount("bay.found", hits.length)), lines(hits));
      return;
    }
    const due = known.due().map((code) => all.get(code)).filter(Boolean);
    replace(results, el("h2", {}, say("bay.due")),
      due.length > 0 ? lines(due) : el("p", {}, say(known.state.at ? "bay.nothing_due" : "bay.not_yet_known")));
  };
  place.replaceChildren(el("h1", {}, say("bay.title")), form,
    canScan() ? el("p", {}, button({ class: "second scan" }, start, say("bay.scan"))) : el("p", { class: "hint" }, say("bay.scan_hint")),
    camera, results, el("p", {}, el("a", { href: address.job(""), "data-go": true }, say("bay.new_job")), " · ",
      el("a", { href: address.labels }, say("labels.title"))));
  document.title = `${say("bay.title")} · beadspan`;
  list();
  return { show: list, close: () => {} };
};

const lines = (vehicles) => el("ul", { class: "due bay-list" }, vehicles.slice(0, mostListed).map((v) =>
  el("li", {}, el("a", { href: address.vehicle(v.code), "data-go": true, "data-key": `to-${v.code}` }, el("strong", {}, v.code), " ", el("span", { class: "faint" }, v.site)),
    el("ul", {}, (v.due ?? []).map((d) => el("li", {}, say(`due.${d.kind}`), d.patches?.length ? el("span", { class: "code" }, ` ${d.patches.join(" ")}`) : "")),
      v.last_day && el("li", { class: "faint" }, say("bay.last_visit", { day: date(v.last_day) }))))),
  vehicles.length > mostListed && el("li", {}, sayCount("bay.more_vehicles", vehicles.length - mostListed)));
