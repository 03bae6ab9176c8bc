// el makes an element: attributes, listeners under on, then children, of which
// text stays text. An attribute that is null or false is left out.
export const el = (name, attributes = {}, ...children) => {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key === "on") {
      for (const [event, listener] of Object.entries(value)) element.addEventListener(event, listener);
    } else if (value !== null && value !== false && value !== undefined) {
      element.setAttribute(key, value === true ? "" : value);
    }
  }
  element.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== false));
  return element;
};

// button makes a button that does something.
export const button = (attributes, act, ...children) => el("button", { type: "button", ...attributes, on: { click: act } }, ...children);

// drawing copies a picture that the page brought along.
export const drawing = (id) => document.getElementById(id).content.cloneNode(true);

// standing is the drop of a standing with its word.
export const standing = (name, word) => el("span", { class: `standing ${name}` }, drawing(`drop-${name}`), el("span", {}, word));

// replace shows children in a place, and gives the focus back to what has the
// same key as what had it.
export const replace = (place, ...children) => {
  const key = place.contains(document.activeElement) ? document.activeElement.dataset.key : null;
  place.replaceChildren(...children.flat().filter(Boolean));
  if (key) place.querySelector(`[data-key="${CSS.escape(key)}"]`)?.focus({ preventScroll: true });
};
