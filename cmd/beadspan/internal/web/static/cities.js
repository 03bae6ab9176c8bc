// Suggests cities while one is being typed. Without it the form finds them all
// the same, a page later.
const field = document.querySelector("[data-cities]");
const list = document.getElementById("cities");
let waiting = null;
let asked = "";
const suggest = async () => {
  const typed = field.value.trim();
  if (typed === asked || typed.length < 2) return;
  asked = typed;
  const answer = await fetch(`${field.dataset.cities}?${new URLSearchParams({ city: typed })}`).catch(() => null);
  if (!answer?.ok || typed !== asked) return;
  const names = await answer.json();
  list.replaceChildren(...names.map((name) => new Option("", name)));
};
field.addEventListener("input", () => {
  clearTimeout(waiting);
  // A suggestion that was chosen is whole: nothing is left to guess.
  if ([...list.options].some((option) => option.value === field.value)) { field.form.requestSubmit(); return; }
  waiting = setTimeout(suggest, 180);
});
