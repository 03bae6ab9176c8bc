// Shows the button that prints, where there is a script to print with.
const button = document.querySelector("[data-print]");
if (button) {
  button.hidden = false;
  button.addEventListener("click", () => window.print());
}
