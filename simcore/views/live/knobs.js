// What can be turned: the often used ones, those that are changed, and whatever is found by its name.
const MOST_FOUND = 40;
const FIRST = ["Course", "Start", "Driver"]; // what is driven, before what drives

const plain = (value) => String(Number(Number(value).toPrecision(6)));
// What is already as it should be is left alone: it would be laid out anew.
function say(node, words) {
  if (node.textContent !== words) node.textContent = words;
}

function put(node, attributes) {
  for (const [name, value] of Object.entries(attributes)) if (node.getAttribute(name) !== String(value)) node.setAttribute(name, value);
}

function make(tag, kind = "", text = "", attributes = {}) {
  const made = document.createElement(tag);
  if (kind) made.className = kind;
  if (text) made.textContent = text;
  put(made, attributes);
  return made;
}

class Knobs {
  // on: set(path, value), back(path), hold(whether)
  constructor(root, find, on) {
    Object.assign(this, { root, find, on, knobs: [], rows: new Map(), set: {}, faults: new Map() });
    find.addEventListener("input", () => this.list());
  }

  take(knobs) {
    const rank = (knob) => FIRST.findIndex((name) => knob.group.startsWith(name)) + 1 || 9;
    this.knobs = [...knobs].sort((a, b) => rank(a) - rank(b));
    this.byPath = new Map(knobs.map((knob) => [knob.path, knob]));
    this.words = new Map(knobs.map((knob) => [knob, `${knob.label} ${knob.group} ${knob.path}`.toLowerCase()]));
    this.rows.clear();
    this.list();
  }

  // set: what is changed; faults: path to what is wrong there
  show(set, faults) {
    const listed = (changed) => Object.keys(changed).sort().join("\n");
    const other = listed(set) !== listed(this.set) && !this.find.value;
    const paths = new Set([this.set, set].flatMap(Object.keys).concat(...this.faults.keys(), ...faults.keys()));
    Object.assign(this, { set, faults });
    if (other) this.list();
    else for (const path of paths) if (this.rows.get(path)?.root.isConnected) this.refresh(path, this.rows.get(path));
  }

  wanted() {
    const words = this.find.value.toLowerCase().split(/\s+/).filter(Boolean);
    if (!words.length) return this.knobs.filter((knob) => knob.often || knob.path in this.set);
    const found = this.knobs.filter((knob) => words.every((word) => this.words.get(knob).includes(word)));
    this.more = Math.max(found.length - MOST_FOUND, 0);
    return found.slice(0, MOST_FOUND);
  }

  list() {
    this.more = 0;
    const groups = new Map();
    for (const knob of this.wanted()) {
      if (!groups.has(knob.group)) groups.set(knob.group, []);
      groups.get(knob.group).push(knob);
    }
    const kept = document.activeElement;
    const parts = [...groups].map(([name, knobs]) => {
      const group = make("fieldset");
      group.append(make("legend", "", name), ...knobs.map((knob) => this.row(knob).root));
      return group;
    });
    if (!groups.size) parts.push(make("p", "dim", "Nothing is called that."));
    if (this.more) parts.push(make("p", "dim", `${this.more} more: type another word.`));
    this.root.replaceChildren(...parts);
    if (kept?.isConnected && kept !== document.activeElement) kept.focus({ preventScroll: true });
    for (const [path, row] of this.rows) if (row.root.isConnected) this.refresh(path, row);
  }

  row(knob) {
    const known = this.rows.get(knob.path);
    if (known) return known;
    const root = make("div", "knob", "", { "data-path": knob.path, title: knob.says });
    const label = make("label", "", knob.label), back = make("button", "back", "back", { type: "button" });
    const head = make("div", "row"), was = make("span", "dim"), fault = make("p", "fault", "", { role: "alert" });
    const inputs = this[knob.kind](knob);
    inputs[0].id = `knob-${knob.path}`;
    label.htmlFor = inputs[0].id;
    back.setAttribute("aria-label", `${knob.label}: back to the file's`);
    back.addEventListener("click", () => { this.on.back(knob.path); inputs[0].focus(); });
    head.append(label, inputs[0]);
    if (knob.unit) head.append(make("span", "unit", knob.unit));
    const foot = make("div", "row foot");
    foot.append(was, back);
    root.append(head, ...inputs.slice(1), foot, fault);
    const row = { root, inputs, was, back, fault };
    this.rows.set(knob.path, row);
    return row;
  }

  number(knob) {
    const field = make("input", "field", "", { type: "number", step: "any", inputmode: "decimal" });
    field.addEventListener("change", () => { if (field.value !== "") this.on.set(knob.path, Number(field.value)); });
    if (!Number.isFinite(knob.low) || !Number.isFinite(knob.high)) return [field];
    const range = { type: "range", min: knob.low, max: knob.high, step: knob.step, "aria-label": knob.label };
    const slider = make("input", "", "", range), ends = make("div", "row span");
    slider.addEventListener("input", () => { this.on.hold(true); this.on.set(knob.path, Number(slider.value)); });
    for (const over of ["change", "pointerup", "pointercancel", "keyup", "blur"]) slider.addEventListener(over, () => this.on.hold(false));
    ends.append(make("span", "", plain(knob.low)), slider, make("span", "", plain(knob.high)));
    return [field, ends];
  }

  choice(knob) {
    const field = make("select", "field");
    field.append(...knob.choices.map((choice) => make("option", "", String(choice), { value: choice })));
    field.addEventListener("change", () => this.on.set(knob.path, knob.choices[field.selectedIndex]));
    return [field];
  }

  switch(knob) {
    const field = make("input", "field", "", { type: "checkbox" });
    field.addEventListener("change", () => this.on.set(knob.path, field.checked));
    return [field];
  }

  refresh(path, { root, inputs, was, back, fault }) {
    const knob = this.byPath.get(path), changed = path in this.set, [field] = inputs;
    const value = changed ? this.set[path] : knob.value, words = (one) => (knob.kind === "number" ? plain(one) : String(one));
    root.classList.toggle("changed", changed);
    if (knob.kind === "switch") field.checked = Boolean(value);
    else if (knob.kind === "choice") field.value = String(value);
    else {
      if (document.activeElement !== field) field.value = value === null ? "" : plain(value);
      field.placeholder = value === null ? "not set" : "";
      const slider = inputs[1]?.querySelector("input");
      if (slider && document.activeElement !== slider) slider.value = value ?? knob.low;
    }
    say(was, changed ? `was ${knob.value === null ? "not set" : words(knob.value)}` : "");
    back.hidden = !changed;
    const wrong = this.faults.get(path);
    say(fault, wrong ? `got ${wrong.got}, must be ${wrong.must_be}` : "");
    put(field, { "aria-invalid": Boolean(wrong) });
  }
}
