// Reads a label with the phone's camera, where the browser can. Elsewhere the
// camera's own program opens the label's address.
import { button, el } from "./dom.js";
import { say } from "./words.js";

export const canScan = () => "BarcodeDetector" in window && Boolean(navigator.mediaDevices?.getUserMedia);

// codeOf is the vehicle's code in a label's address; null in any other text.
export const codeOf = (text) => {
  try {
    const found = new URL(text, location.href).pathname.match(/^\/studies\/[^/]+\/bay\/([^/]+)$/);
    return found && decodeURIComponent(found[1]);
  } catch {
    return null;
  }
};

// scan shows what the camera sees in a place, and resolves with a vehicle's
// code, or null when somebody gives up.
export const scan = async (place) => {
  const stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
  const video = el("video", { class: "camera", playsinline: true, muted: true, "aria-label": say("bay.camera") });
  video.srcObject = stream;
  let stop;
  const stopped = new Promise((resolve) => { stop = () => resolve(null); });
  place.replaceChildren(video, button({ class: "second" }, () => stop(), say("bay.stop_scan")));
  await video.play();
  const detector = new BarcodeDetector({ formats: ["qr_code"] });
  let watching = true;
  const found = new Promise((resolve) => {
    const look = async () => {
      if (!watching) return;
      const codes = await detector.detect(video).catch(() => []);
      const code = codes.map((c) => codeOf(c.rawValue)).find(Boolean);
      if (code) resolve(code);
      else setTimeout(look, 150);
    };
    look();
  });
  const code = await Promise.race([found, stopped]);
  watching = false;
  for (const track of stream.getTracks()) track.stop();
  place.replaceChildren();
  return code;
};
