// Looks again while figures are being worked out, and shows them when they are
// there, without moving what somebody is reading or typing.
const pause = 1500;
const look = async () => {
  const answer = await fetch(location.href, { headers: { Accept: "text/html" } }).catch(() => null);
  if (answer?.ok) {
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const now = page.querySelector("[data-wait] progress");
    const shown = document.querySelector("[data-wait] progress");
    if (!now) {
      const main = document.querySelector("main");
      const typing = main.contains(document.activeElement) && document.activeElement.matches("input, textarea, select");
      if (!typing) {
        main.replaceWith(page.querySelector("main"));
        return;
      }
    } else if (shown && now.hasAttribute("value")) {
      shown.max = now.max;
      shown.value = now.value;
    }
  }
  setTimeout(look, pause);
};
setTimeout(look, pause);
