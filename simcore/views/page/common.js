// What every script of a page takes: parts of a drawing, and numbers as they are written.
const SVG = "http://www.w3.org/2000/svg";

function add(parent, kind, shape, attributes = {}) {
  const made = document.createElementNS(SVG, shape);
  if (kind) made.setAttribute("class", kind);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  return parent.appendChild(made);
}

function said(value, places) {
  if (!Number.isFinite(value)) return "–";
  const text = value.toFixed(places);
  return (Number(text) === 0 ? text.replace("-", "") : text).replace("-", "−");
}
