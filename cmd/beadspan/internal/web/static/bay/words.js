// What the page brings along for its script: the study's protocol, and words.
export const setting = JSON.parse(document.getElementById("setting").textContent);

const counts = new Intl.PluralRules(setting.tag);

// say is the message of the key, with the values in its braces.
export const say = (key, values = {}) =>
  (setting.words[key] ?? key).replace(/\{(\w+)\}/g, (whole, name) => values[name] ?? whole);

// sayCount is the message for n of something.
export const sayCount = (key, n) => say(`${key}.${counts.select(n) === "one" ? "one" : "other"}`, { n: number(n, 0) });

// panelWord is a panel in this language; one that nobody knows stays as it is.
export const panelWord = (panel) => setting.words[`panel.${panel.replaceAll(" ", "_")}`] ?? panel;

// number writes x with so many decimals, as the language does.
export const number = (x, decimals = 1) =>
  new Intl.NumberFormat(setting.tag, { minimumFractionDigits: decimals, maximumFractionDigits: decimals }).format(x);

// typed writes what was typed in, which has a point, as the language does.
export const typed = (text) => (setting.tag === "en" ? text : text.replace(".", ","));

export const decimalSign = setting.tag === "en" ? "." : ",";

// Days are in the order that all pages write them in.
const region = setting.tag === "en" ? "en-GB" : setting.tag;

// date writes a day such as 2026-04-30.
export const date = (day) =>
  new Intl.DateTimeFormat(region, { dateStyle: "medium", timeZone: "UTC" }).format(new Date(`${day}T00:00:00Z`));

// time writes the time of day of a moment.
export const time = (moment) => new Intl.DateTimeFormat(region, { timeStyle: "short" }).format(new Date(moment));

// today is the day that the phone's clock shows.
export const today = () => {
  const now = new Date();
  const two = (n) => String(n).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
};

const base = `/studies/${encodeURIComponent(setting.study)}`;

// address is where something of the study is.
export const address = {
  bay: `${base}/bay`,
  vehicle: (code) => `${base}/bay/${encodeURIComponent(code)}`,
  waiting: `${base}/bay?waiting`,
  job: (code, entry = "") => `${base}/bay?job=${encodeURIComponent(code)}${entry && `&entry=${entry}`}`,
  labels: `${base}/labels`,
  known: `${base}/bay.json`,
  visits: `${base}/visits`,
  jobs: `${base}/jobs`,
  photos: `${base}/photos`,
};
