// Curves over time: the file's in grey, the run at hand in one strong colour.
const SIDE = 1000, COLUMNS = 300; // units of a plot's side, columns of dots that a curve is thinned to
const ROOM = 0.06;
const COLUMN_ENDS = [2, 4]; // charts with the axis of time below them, where there are two columns
const LETTER = 0.024; // of a band's width, a letter in it
const LINES = [ // what is drawn, the unit, digits after the point, and the span that is shown at least
  ["pitch_to_ground_deg", "Pitch, nose up +", "°", 1, 2], ["rear_travel_mm", "Rear shocks, pressed in", "mm", 1, 2],
  ["front_travel_mm", "Front shocks, pressed in", "mm", 1, 2], ["front_load_g", "Front tyre load", "g", 0, 100],
  ["speed_m_per_s", "Speed over the ground", "m/s", 2, 0.1],
];

function niceTicks(low, high) {
  const rough = (high - low) / 5, size = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((part) => part * size).find((one) => one >= 0.999 * rough);
  const digits = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const found = [];
  for (let k = Math.ceil(low / step - 1e-9); k * step <= high + 1e-9 * step; k++) found.push([k * step, said(k * step, digits)]);
  return found;
}

function at(edge, share, node) {
  node.style[edge] = `${100 * share}%`;
  return node;
}

// Of very many points the first, lowest and highest of each column.
function thinned(times, values, end) {
  const found = [];
  if (times.length <= 2 * COLUMNS) return times.map((_, k) => k);
  for (let k = 0; k < times.length;) {
    const column = Math.floor(times[k] / end * COLUMNS);
    let low = k, high = k;
    const first = k;
    for (; k < times.length && Math.floor(times[k] / end * COLUMNS) === column; k++) {
      if (values[k] < values[low]) low = k;
      if (values[k] > values[high]) high = k;
    }
    found.push(...[...new Set([first, low, high])].sort((a, b) => a - b));
  }
  if (found[found.length - 1] !== times.length - 1) found.push(times.length - 1);
  return found;
}

class Curves {
  constructor(root) {
    Object.assign(this, { root, plots: new Map() });
    this.build();
    root.addEventListener("pointermove", (event) => this.point(event));
    root.addEventListener("pointerleave", () => { this.at = undefined; this.point(); });
  }

  build() {
    LINES.forEach(([key, words, unit, digits, least], k) => {
      const figure = make("figure", "curve"), title = make("figcaption", "", words);
      const area = make("div", "area"), ticks = make("div", "ticks");
      title.append(make("output"));
      const svg = add(area, "", "svg", { viewBox: `0 0 ${SIDE} ${SIDE}`, preserveAspectRatio: "none", "aria-hidden": true });
      const grid = add(svg, "grid", "path"), was = add(svg, "was", "path"), now = add(svg, "now", "path");
      area.append(make("i", "cursor"));
      figure.append(title, ticks, area);
      this.root.append(figure);
      this.plots.set(key, { unit, digits, least, ticks, grid, was, now, said: title.lastChild, cursor: area.lastChild, area });
      if (COLUMN_ENDS.includes(k)) this.root.append(make("p", "times"));
    });
  }

  // Scales stand while something is held.
  show(base, now, changed, held) {
    Object.assign(this, { base, run: now });
    const fresh = !held || !this.scales;
    if (fresh) this.scale(base, now);
    for (const [key, plot] of this.plots) {
      if (fresh) plot.was.setAttribute("d", changed ? this.path(base, key) : "");
      put(plot.now, { d: this.path(now, key) });
    }
    this.point();
  }

  scale(base, now) {
    const ends = [base, now].map((run) => run.time_s[run.time_s.length - 1]);
    this.end = Math.max(...ends, 1e-3);
    this.scales = new Map();
    for (const [key, plot] of this.plots) {
      const known = [...base[key], ...now[key]].filter(Number.isFinite);
      let low = known.length ? known.reduce((a, b) => Math.min(a, b)) : 0;
      let high = known.length ? known.reduce((a, b) => Math.max(a, b)) : 1;
      const lacks = Math.max(plot.least - (high - low), 0), room = ROOM * Math.max(plot.least, high - low);
      [low, high] = [low - lacks / 2 - room, high + lacks / 2 + room];
      this.scales.set(key, [low, high]);
      const ticks = niceTicks(low, high), height = (value) => (high - value) / (high - low);
      plot.grid.setAttribute("d", ticks.map(([value]) => `M0 ${(SIDE * height(value)).toFixed(0)}h${SIDE}`).join(""));
      plot.ticks.replaceChildren(...ticks.filter(([value]) => height(value) > 0.05).map(([value, words]) => at("top", height(value), make("span", "", words))));
    }
    for (const times of this.root.querySelectorAll(".times")) {
      times.replaceChildren(...niceTicks(0, this.end).map(([value, words]) => at("left", value / this.end, make("span", "", `${words} s`))));
    }
  }

  path(run, key) {
    const times = run.time_s, values = run[key], [low, high] = this.scales.get(key);
    let pen = "M", d = "";
    for (const k of thinned(times, values, this.end)) {
      if (!Number.isFinite(values[k])) { pen = "M"; continue; }
      d += `${pen}${(SIDE * times[k] / this.end).toFixed(0)} ${(SIDE * (high - values[k]) / (high - low)).toFixed(0)}`;
      pen = "L";
    }
    return d;
  }

  // What becomes of each axle's squat support, over the same time.
  showBands(root, bands) {
    const named = new Set(), unnamed = new Map();
    const rows = Object.entries(bands).map(([axle, pieces]) => {
      const row = make("div", "band"), band = make("div");
      band.append(...pieces.map((piece) => {
        const wide = (piece.to_s - piece.from_s) / this.end > LETTER * piece.words.length;
        if (wide) named.add(piece.code); else unnamed.set(piece.code, piece.words);
        const part = make("i", "", wide ? piece.words : "", { title: `${piece.words}, ${piece.from_s.toFixed(2)} to ${piece.to_s.toFixed(2)} s`, "data-code": piece.code });
        return at("left", piece.from_s / this.end, at("width", (piece.to_s - piece.from_s) / this.end, part));
      }));
      row.append(make("span", "", axle), band);
      return row;
    });
    const key = make("p", "dim");
    for (const [code, words] of unnamed) if (!named.has(code)) key.append(make("i", "swatch", "", { "data-code": code }), `${words}  `);
    root.replaceChildren(make("b", "", "What becomes of the support of the links"), ...rows, key);
  }

  // The value under the pointer; without one that at the end.
  point(event) {
    if (!this.run) return;
    const area = event?.target.closest?.(".curve")?.querySelector(".area").getBoundingClientRect();
    if (area) this.at = Math.min(Math.max((event.clientX - area.left) / area.width, 0), 1) * this.end;
    for (const [key, plot] of this.plots) {
      const value = (run) => {
        const after = this.at === undefined ? -1 : run.time_s.findIndex((time) => time >= this.at);
        return run[key].at(after);
      };
      const when = this.at === undefined ? "at the end" : `at ${this.at.toFixed(2)} s`;
      say(plot.said, `${when} ${said(value(this.run), plot.digits)} ${plot.unit}`);
      plot.cursor.hidden = this.at === undefined;
      if (this.at !== undefined) at("left", this.at / this.end, plot.cursor);
    }
  }
}
