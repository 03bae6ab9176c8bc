// What the phone knows of the study's vehicles: what the server told last, and
// what was coated since and isn't sent yet.
import * as db from "./db.js";
import * as queue from "./queue.js";
import { address, setting } from "./words.js";

const nothing = { vehicles: [], due: [], coatings: [], sites: [], shops: [] };
let known = nothing;
let tag = null;

export const state = { asked: false, at: null };

// open reads what is kept. Another account's is forgotten.
export const open = async () => {
  const kept = await db.get("known", setting.study);
  if (kept?.account === setting.account) [known, tag, state.at] = [kept.known, kept.tag, kept.at];
};

const pause = 1500;

// refresh asks the server, again while it is still working it out, and calls
// changed when there is something new.
export const refresh = async (changed) => {
  let answer;
  try {
    answer = await fetch(address.known, { headers: tag ? { Have: tag } : {}, signal: AbortSignal.timeout(60000) });
  } catch {
    queue.reached(false);
    return;
  }
  queue.reached(answer.status < 500);
  if (answer.redirected || answer.status === 401) {
    queue.state.signedOut = true;
    changed();
    return;
  }
  queue.state.signedOut = false;
  let fresh = true;
  if (answer.status === 202) fresh = false;
  else if (answer.status === 200) {
    known = await answer.json();
    tag = answer.headers.get("Known");
    fresh = known.fresh;
    state.at = Date.now();
    await db.put("known", { study: setting.study, account: setting.account, known, tag, at: state.at });
  } else if (answer.status !== 204) return;
  state.asked = fresh || state.asked;
  changed();
  if (!fresh) setTimeout(() => refresh(changed), pause);
};

// coated puts the patches of a job that isn't sent yet onto its vehicle.
const coated = (vehicle, job) => ({
  ...vehicle,
  patches: vehicle.patches.concat(job.patches.filter((p) => !vehicle.patches.some((q) => q.code === p.code)).map((p) => ({
    code: p.code, panel: p.panel, orientation: p.orientation, substrate: job.substrate, coating: job.coating,
    applied: job.applied, standing: "unread", last_day: null, last_mean_deg: null,
  }))),
});

// vehicles lists all that are known, by code; without what the entry of an id
// adds to them, if one is given.
export const vehicles = (without = null) => {
  const byCode = new Map(known.vehicles.map((v) => [v.code, v]));
  for (const entry of queue.state.entries) {
    if (entry.kind !== "job" || entry.id === without) continue;
    const vehicle = byCode.get(entry.vehicle) ?? { code: entry.vehicle, site: entry.body.site, patches: [], last_day: null };
    byCode.set(entry.vehicle, coated(vehicle, entry.body));
  }
  return byCode;
};

export const vehicle = (code, without = null) => vehicles(without).get(code);
export const due = () => known.due;
export const coatings = () => known.coatings;
export const sites = () => known.sites;
export const shops = () => known.shops;
