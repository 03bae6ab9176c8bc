// The arrow keys lead from mark to mark of a timeline, which is one stop for Tab.
document.addEventListener("keydown", (event) => {
  const mark = event.target.closest?.(".timeline .mark");
  const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
  if (!mark || !step) return;
  const marks = [...mark.ownerSVGElement.querySelectorAll(".mark")];
  const next = marks[marks.indexOf(mark) + step];
  if (!next) return;
  event.preventDefault();
  mark.setAttribute("tabindex", "-1");
  next.setAttribute("tabindex", "0");
  next.focus();
});
