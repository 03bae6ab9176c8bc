/* Shows the numbers of a plot at the place at which somebody points, by mouse,
   finger or arrow keys. They are the cells of the table behind the plot, in the
   same figure; data-spots says where its rows are drawn: panes of [is it a
   list, left, top, right, bottom, steps...], a step being [place along the way
   of reading, then row, line and place across of each of its spots]. */
{
  const panesOf = (svg) => JSON.parse(svg.dataset.spots).map(([list, left, top, right, bottom, ...steps]) => ({
    list, left, top, right, bottom,
    steps: steps.map(([along, ...rest]) => {
      const spots = [];
      for (let i = 0; i < rest.length; i += 3) {
        spots.push({ row: rest[i], line: rest[i + 1], x: list ? rest[i + 2] : along, y: list ? along : rest[i + 2] });
      }
      return spots.sort((a, b) => a.y - b.y);
    }),
  }));

  const element = (name, attributes, parent, space) => {
    const made = space ? document.createElementNS(space, name) : document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    parent?.append(made);
    return made;
  };

  /* The one plot that shows numbers now. */
  let open = null;

  class PlotReader {
    constructor(svg, table) {
      Object.assign(this, { svg, table, panes: panesOf(svg), pane: 0, step: 0, spot: 0 });
      this.frame = svg.parentElement;
      this.name();
      this.marks = element("g", { class: "spots" }, svg, svg.namespaceURI);
      this.box = element("div", { class: "numbers", "aria-hidden": "true", hidden: "" }, this.frame);
      this.voice = element("div", { class: "voice", "aria-live": "polite" }, this.frame);
      this.frame.addEventListener("pointermove", (event) => this.point(event));
      this.frame.addEventListener("pointerdown", (event) => this.point(event));
      this.frame.addEventListener("pointerleave", (event) => event.pointerType !== "touch" && this.leave());
      this.frame.addEventListener("keydown", (event) => this.press(event));
      this.frame.addEventListener("focus", () => this.frame.matches(":focus-visible") && this.show(true));
      this.frame.addEventListener("blur", () => this.leave());
    }

    /* The drawing becomes a stop of the keyboard. Its name, which a browser
       would show over it as a title, is kept as a label. */
    name() {
      const title = this.svg.querySelector("title");
      const label = title?.textContent ?? "";
      const hint = this.svg.closest("figure").dataset.keys ?? "";
      title?.remove();
      this.svg.removeAttribute("aria-labelledby");
      this.svg.setAttribute("aria-hidden", "true");
      for (const [key, value] of Object.entries({ tabindex: "0", role: "application", "aria-label": `${label} ${hint}` })) {
        this.frame.setAttribute(key, value);
      }
      this.frame.classList.add("reader");
    }

    /* point reads what lies nearest to the pointer. */
    point(event) {
      const matrix = this.svg.getScreenCTM();
      if (!matrix || event.target.closest(".numbers")) return;
      const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
      const away = (pane) => Math.hypot(Math.max(pane.left - at.x, 0, at.x - pane.right), Math.max(pane.top - at.y, 0, at.y - pane.bottom));
      const nearest = (list, distance) => list.reduce((best, one, i) => (distance(one) < distance(list[best]) ? i : best), 0);
      this.pane = nearest(this.panes, away);
      const pane = this.panes[this.pane];
      if (away(pane) > 24) return this.leave();
      this.step = nearest(pane.steps, ([spot]) => (pane.list ? Math.abs(spot.y - at.y) : Math.abs(spot.x - at.x)));
      this.spot = nearest(pane.steps[this.step], (spot) => Math.hypot(spot.x - at.x, spot.y - at.y));
      this.show(false);
    }

    press(event) {
      if (event.altKey || event.ctrlKey || event.metaKey) return;
      const { list } = this.panes[this.pane];
      const go = { ArrowRight: () => this.go(1), ArrowLeft: () => this.go(-1), Home: () => this.end(0), End: () => this.end(-1),
        ArrowDown: () => (list ? this.go(1) : this.change(1)), ArrowUp: () => (list ? this.go(-1) : this.change(-1)) }[event.key];
      if (go) {
        event.preventDefault();
        if (!this.box.hidden) go();
        this.show(true);
      } else if (event.key === "Escape" && !this.box.hidden) {
        event.preventDefault();
        this.leave();
      }
    }

    /* go takes a step, on from one pane to the next, along the same line. */
    go(by) {
      const { line } = this.panes[this.pane].steps[this.step][this.spot];
      if (this.panes[this.pane].steps[this.step + by]) {
        this.step += by;
      } else if (this.panes[this.pane + by]) {
        this.pane += by;
        this.step = by > 0 ? 0 : this.panes[this.pane].steps.length - 1;
      }
      this.spot = Math.max(0, this.panes[this.pane].steps[this.step].findIndex((spot) => spot.line === line));
    }

    end(which) {
      this.pane = this.panes.at(which) === this.panes[0] ? 0 : this.panes.length - 1;
      this.step = which ? this.panes[this.pane].steps.length - 1 : 0;
      this.spot = 0;
    }

    /* change goes from line to line. */
    change(by) {
      const count = this.panes[this.pane].steps[this.step].length;
      this.spot = Math.min(count - 1, Math.max(0, this.spot + by));
    }

    show(aloud) {
      if (open && open !== this) open.leave();
      open = this;
      const pane = this.panes[this.pane];
      const spots = pane.steps[this.step];
      this.draw(pane, spots);
      const rows = [...new Set(spots.map((spot) => spot.row))].sort((a, b) => a - b);
      this.fill(rows, spots[this.spot].row);
      this.box.hidden = false;
      this.place(pane, spots);
      if (aloud) this.voice.textContent = this.words(spots[this.spot].row);
    }

    draw(pane, spots) {
      this.marks.replaceChildren();
      const space = this.svg.namespaceURI;
      const [{ x, y }] = spots;
      element("path", { d: pane.list ? `M${pane.left} ${y}H${pane.right}` : `M${x} ${pane.top}V${pane.bottom}` }, this.marks, space);
      spots.forEach((spot, i) => element("circle", { cx: spot.x, cy: spot.y, r: i === this.spot ? 5.5 : 4, class: i === this.spot ? "here" : "" }, this.marks, space));
    }

    /* fill sets rows of the table into the box: one as a list of its cells,
       several below one another. */
    fill(rows, here) {
      const heads = [...this.table.tHead.rows[0].cells].map((cell) => cell.textContent);
      const cells = (row) => [...this.table.tBodies[0].rows[row].cells].map((cell) => cell.textContent);
      this.box.replaceChildren();
      if (rows.length === 1) {
        const list = element("dl", {}, this.box);
        cells(rows[0]).forEach((cell, i) => {
          const pair = element("div", {}, list);
          element("dt", {}, pair).textContent = heads[i];
          element("dd", {}, pair).textContent = cell;
        });
        return;
      }
      const table = element("table", {}, this.box);
      const head = element("tr", {}, element("thead", {}, table));
      for (const word of heads) element("th", {}, head).textContent = word;
      const body = element("tbody", {}, table);
      for (const row of rows) {
        const line = element("tr", row === here ? { class: "here" } : {}, body);
        for (const cell of cells(row)) element("td", {}, line).textContent = cell;
      }
    }

    /* place puts the box beside the line if the window has room, else below. */
    place(pane, spots) {
      const scale = this.svg.clientWidth / this.svg.viewBox.baseVal.width;
      const gap = 12;
      const frame = this.frame.getBoundingClientRect();
      const width = this.box.offsetWidth;
      const x = (pane.list ? Math.max(...spots.map((spot) => spot.x)) : spots[0].x) * scale;
      let left = x + gap;
      let top = Math.max(0, pane.list ? spots[0].y * scale + gap : pane.top * scale);
      if (frame.left + left + width > document.documentElement.clientWidth) left = x - gap - width;
      if (frame.left + left < 0) {
        left = Math.max(0, Math.min(x - width / 2, frame.width - width));
        if (!pane.list) top = this.panes.length > 1 ? pane.bottom * scale + gap : frame.height;
      }
      this.box.style.left = `${left}px`;
      this.box.style.top = `${top}px`;
    }

    /* words say a row, its heads before its cells. */
    words(row) {
      const heads = this.table.tHead.rows[0].cells;
      return [...this.table.tBodies[0].rows[row].cells]
        .map((cell, i) => (i ? `${heads[i].textContent} ${cell.textContent}` : cell.textContent)).join("; ");
    }

    leave() {
      this.box.hidden = true;
      this.marks.replaceChildren();
      this.voice.textContent = "";
      if (open === this) open = null;
    }
  }

  const start = () => {
    for (const svg of document.querySelectorAll("figure svg[data-spots]")) {
      const table = svg.closest("figure").querySelector("table");
      if (table && !svg.parentElement.classList.contains("reader")) new PlotReader(svg, table);
    }
  };
  start();
  /* A page that was waiting for its figures puts them in place of its content. */
  new MutationObserver(start).observe(document.body, { childList: true });
  document.addEventListener("pointerdown", (event) => {
    if (open && !open.frame.contains(event.target)) open.leave();
  });
}
