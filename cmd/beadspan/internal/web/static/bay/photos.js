// Photos of panels: taken or chosen, drawn anew so that neither the camera's
// position nor its size goes along, and held on the phone until the server has
// them.
import * as db from "./db.js";
import * as queue from "./queue.js";
import { button, el } from "./dom.js";
import { newID } from "./id.js";
import { say, setting } from "./words.js";

const limits = setting.photos;
const qualities = [0.82, 0.7, 0.55, 0.4];

// Of a photo that can't be taken, the message that says why.
class NoPhoto extends Error {}

// of lists the photos of a patch at a visit, the first one first.
export const of = (visit, patch) => queue.state.entries
  .filter((e) => e.kind === "photo" && e.visit === visit && e.body.patch === patch && e.state !== "refused")
  .sort((a, b) => (a.id < b.id ? -1 : 1));

// held lists what was taken at a visit that isn't saved yet.
export const held = (visit) => queue.state.entries.filter((e) => e.kind === "photo" && e.visit === visit && e.state === "held");

// take keeps a photo of a patch on the phone. It returns the message of what
// kept it from that, or null.
export const take = async (file, { visit, vehicle, patch, stage, day }) => {
  try {
    const there = of(visit, patch).filter((e) => e.body.stage === stage);
    if (there.length >= limits.most_at_stage) throw new NoPhoto(say("bay.photo_enough", { n: limits.most_at_stage }));
    if (queue.state.entries.filter((e) => e.kind === "photo" && e.state !== "sent").length >= limits.most_waiting) {
      throw new NoPhoto(say("bay.photo_many", { n: limits.most_waiting }));
    }
    const bytes = await shrunk(file);
    const id = newID();
    await keep({ id, study: setting.study, account: setting.account, kind: "photo", vehicle, visit, state: "held", loggedAt: Date.now(),
      body: { id, vehicle, patch, stage, day } }, bytes);
    return null;
  } catch (error) {
    return error instanceof NoPhoto ? error.message : say("bay.photo_unread");
  }
};

// keep writes entry and picture, both or neither.
const keep = async (entry, bytes) => {
  try {
    await db.keepPhoto(entry, bytes);
  } catch {
    throw new NoPhoto(say("bay.photo_full")); // no room, or a browser that keeps nothing
  }
  await queue.refresh();
};

// shrunk draws the picture upright and no larger than anybody looks at.
const shrunk = async (file) => {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  const scale = Math.min(1, limits.most_px / Math.max(picture.width, picture.height));
  const canvas = el("canvas", { width: Math.max(1, Math.round(picture.width * scale)), height: Math.max(1, Math.round(picture.height * scale)) });
  const pen = canvas.getContext("2d");
  pen.fillStyle = "#fff"; // where a picture is see-through
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  for (const quality of qualities) {
    const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", quality));
    if (blob && blob.size <= limits.most_bytes) return blob.arrayBuffer();
  }
  throw new Error("too large");
};

// The picker stands outside of what is drawn anew while somebody chooses.
const picker = document.getElementById("photo-file");
let chosen = null;
picker.addEventListener("change", () => {
  const [file] = picker.files;
  const then = chosen;
  picker.value = "";
  if (file && then) then(file);
});

// pick lets somebody take or choose a picture, and hands it on.
export const pick = (then) => {
  chosen = then;
  picker.click();
};

const shown = new Map(); // addresses of pictures that are on the screen, by id

// picture shows a photo that is on the phone; one that was sent is a word.
const picture = (entry, alt) => {
  if (entry.state === "sent") return el("span", { class: "faint" }, say("bay.photo_sent"));
  const image = el("img", { alt, width: 112, height: 112 });
  if (shown.has(entry.id)) image.src = shown.get(entry.id);
  else {
    db.get("photos", entry.id).then((kept) => {
      if (!kept) return;
      if (!shown.has(entry.id)) shown.set(entry.id, URL.createObjectURL(new Blob([kept.bytes], { type: "image/jpeg" })));
      image.src = shown.get(entry.id);
    });
  }
  return image;
};

// close lets go of the pictures that were shown.
export const close = () => {
  for (const address of shown.values()) URL.revokeObjectURL(address);
  shown.clear();
};

// row shows the photos of a patch, what kept the last one from being taken, and
// takes another.
export const row = (visit, patch, act) => {
  const list = of(visit.draft.id, patch.code);
  return el("div", { class: "row photos" },
    list.map((entry, i) => el("span", { class: "photo" },
      picture(entry, say("bay.photo_alt", { n: i + 1, stage: say(`stage.${entry.body.stage}`) })),
      entry.state === "held" && button({ class: "second", "data-key": `${patch.code}-photo-away-${i}`, "aria-label": say("bay.photo_away", { n: i + 1 }) },
        () => act("dropPhoto", entry), "×"))),
    visit.noPhoto?.patch === patch.code && el("p", { class: "fault" }, visit.noPhoto.why),
    button({ class: "second", "data-key": `${patch.code}-photo` }, () => act("takePhoto", patch.code), say("bay.photo")));
};
