// The numeric keys at the foot of the screen: large enough for wet gloves.
import { button, el } from "./dom.js";
import { decimalSign, say } from "./words.js";

// pad makes the keys. act is called with a digit, "." or the name of a key.
export const pad = (act) => {
  const key = (face, name, attributes = {}) => button({ class: "key", "data-pad": name, ...attributes }, () => act(name), face);
  const digit = (d) => key(d, d);
  return el("div", { class: "pad", role: "group", "aria-label": say("bay.keys") },
    digit("1"), digit("2"), digit("3"), key("⌫", "erase", { "aria-label": say("bay.erase") }),
    digit("4"), digit("5"), digit("6"), key(say("bay.undo"), "undo", { class: "key word" }),
    digit("7"), digit("8"), digit("9"), key(el("span", {}, say("bay.size_key"), el("span", { class: "unseen" }, ` ${say("bay.by_size")}`)), "size", { class: "key word" }),
    key(decimalSign, "."), digit("0"), key(say("bay.next"), "next", { class: "key word double" }));
};

// ofKeyboard is the pad's key for a key of a keyboard; null for others.
export const ofKeyboard = (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.target.matches("input, textarea, select")) return null;
  if (/^\d$/.test(event.key)) return event.key;
  if (event.key === "." || event.key === ",") return ".";
  if (event.key === "Backspace") return "erase";
  return null;
};
