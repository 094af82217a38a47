// The player: its numbers in words, its charts, its clock, and what keys, buttons and fingers do.
const READABLE = 100; // ms that a number stands while it plays

function forcesSaid(shape, now, grams, shown) {
  const weigh = (newtons) => `${said(grams * newtons, 0)} g`;
  const push = (newtons) => `${weigh(Math.abs(newtons))} ${newtons < 0 ? "pull" : "push"}`;
  return shape.axles.map((axle) => {
    const name = axle.name, words = [];
    if (shown.has("load")) words.push(`load ${weigh(now(`${name}_load_N`))}`);
    if (shown.has("thrust")) words.push(`thrust ${weigh(now(`${name}_thrust_N`))}`);
    const links = [now(`${name}_lower_link_N`), now(`${name}_upper_link_N`)];
    if (shown.has("link") && axle.arm) words.push(`arm ${weigh(Math.hypot(...links))} at its pin`);
    else if (shown.has("link")) {
      ["lower", "upper"].forEach((link, k) =>
        words.push(`${link} link ${push(links[k])}${axle.carrying === k ? " (mean, shocks stand on it)" : ""}`));
    }
    if (shown.has("shock")) words.push(`shocks ${push(now(`${name}_shock_force_N`))}`);
    return words.length ? `${name}: ${words.join(", ")}` : "";
  }).filter(Boolean).join("\n");
}

// --- charts ---

function drawChart(graph, chart, lanes, end) {
  const every = lanes.map((lane) => Array.from(lane.table[chart.column], (value) => value * chart.factor));
  const known = every.flat().filter(Number.isFinite);
  let low = Math.min(...known), high = Math.max(...known);
  if (!known.length) [low, high] = [0, 1];
  const lacks = Math.max(chart.least - (high - low), 0);
  [low, high] = [low - lacks / 2, high + lacks / 2];
  const svg = graph.querySelector("svg"), height = (value) => ((high - value) / (high - low)).toFixed(4);
  if (low < 0 && high > 0) add(svg, "graph-zero", "path", { d: `M0 ${height(0)}H1` });
  every.forEach((values, k) => {
    const times = lanes[k].table.time_s;
    let pen = "M", d = "";
    values.forEach((value, frame) => {
      if (!Number.isFinite(value)) { pen = "M"; return; }
      d += `${pen}${(times[frame] / end).toFixed(4)} ${height(value)}`;
      pen = "L";
    });
    add(svg, `graph-line ${lanes[k].dash}`, "path", { d, style: `--lane: ${lanes[k].figure.style.getPropertyValue("--lane")}` });
  });
  graph.querySelector(".graph-high").textContent = said(high, chart.digits);
  graph.querySelector(".graph-low").textContent = said(low, chart.digits);
}

// --- the whole ---

class Player {
  constructor(root, data, tables) {
    this.root = root;
    this.data = data;
    this.figures = [...root.querySelectorAll(".lane")];
    this.lanes = data.lanes.map((lane, k) => this.lane(lane, tables[k], this.figures[k]));
    this.end = Math.max(...this.lanes.map((lane) => lane.end), 1e-3);
    const furthest = this.lanes.map((lane) => lane.furthest[lane.furthest.length - 1]);
    this.leader = this.lanes[furthest.indexOf(Math.max(...furthest))];
    this.byPlace = false;
    this.time = 0;
    this.pick = (name) => root.querySelector(`.player-${name}`);
    this.slider = this.pick("time");
    this.cursors = [...root.querySelectorAll(".player-cursors i")];
    this.graphs = [...root.querySelectorAll(".graph")];
    this.graphs.forEach((graph, k) => drawChart(graph, data.charts[k], this.lanes, this.end));
    this.values = this.graphs.map((graph) => [...graph.querySelectorAll(".graph-values b")]);
    root.querySelector(".graph-end").textContent = said(this.end, 2);
    const arrow = Math.round(50 / data.arrow * data.gramsPerNewton);
    this.pick("scale").textContent = `An arrow of 50 mm is ${arrow} g.`;
    this.slider.max = this.end;
    this.slider.step = "any";
    this.listen();
  }

  lane(lane, table, figure) {
    let most = -Infinity;
    const furthest = Array.from(table.distance_mm, (way) => (most = Math.max(most, way)));
    return {
      ...lane, table, furthest, figure, read: reader(table), stood: table.pitch_to_ground_deg[0], end: table.time_s[table.time_s.length - 1],
      drawing: new Drawing(figure.querySelector(".lane-view"), lane.shape, this.data),
      now: figure.querySelector(".lane-now"), forces: figure.querySelector(".lane-forces"),
      over: figure.querySelector(".lane-ended"),
    };
  }

  get last() { return this.byPlace ? this.leader.end : this.end; }

  // When a lane first came as far as a place, and whether it ever did.
  timeAt(lane, place) {
    const { furthest, table } = lane, after = notBelow(furthest, place);
    if (after === furthest.length) return [table.time_s[notBelow(furthest, furthest[after - 1])], false];
    if (after === 0) return [table.time_s[0], true];
    const share = (place - furthest[after - 1]) / (furthest[after] - furthest[after - 1]);
    return [table.time_s[after - 1] + share * (table.time_s[after] - table.time_s[after - 1]), true];
  }

  placeOf(lane, time) {
    const before = Math.max(notBelow(lane.table.time_s, time + 1e-9) - 1, 0);
    return Math.max(lane.furthest[before], lane.read(time)("distance_mm"));
  }

  fit() {
    for (const lane of this.lanes) lane.drawing.fit(lane.drawing.box.clientWidth);
    this.graphsWide = this.pick("cursors").clientWidth;
    this.show();
  }

  // Go to a time; on the films' raster, where every number is one of the run's own.
  go(time, exactly = false) {
    const step = this.data.step, on = exactly ? time : Math.round(time / step) * step;
    this.time = Math.min(Math.max(time >= this.last - step / 2 ? this.last : on, 0), this.last);
    if (exactly) this.time = Math.min(Math.max(time, 0), this.last);
    this.show();
  }

  // Move everything to the time at hand; while it plays, numbers change only so often as one can read them.
  show() {
    const place = this.byPlace ? this.placeOf(this.leader, this.time) : 0;
    const shown = this.shown, speaks = !this.playing || performance.now() - this.spoken > READABLE;
    if (speaks) this.spoken = performance.now();
    this.lanes.forEach((lane, k) => {
      const [time, there] = this.byPlace && lane !== this.leader ? this.timeAt(lane, place) : [this.time, true];
      const own = Math.min(time, lane.end), now = lane.read(own);
      lane.drawing.show(own, now, shown);
      this.cursors[k].style.transform = `translateX(${(own / this.end * this.graphsWide).toFixed(1)}px)`;
      if (!speaks) return;
      lane.figure.dataset.time = own.toFixed(4);
      const over = !there ? "came no further" : time > lane.end + 1e-9 ? `ended: ${lane.ended}` : "";
      lane.figure.classList.toggle("lane-over", over !== "");
      const pitch = now("pitch_to_ground_deg"), risen = Math.round(10 * (pitch - lane.stood)) / 10;
      lane.now.textContent = `${said(own, 2)} s · ${said(now("distance_mm"), 0)} mm on · pitch ${said(pitch, 1)}° (${risen > 0 ? "+" : ""}${said(risen, 1)})`;
      lane.over.textContent = over;
      lane.forces.textContent = forcesSaid(lane.shape, now, this.data.gramsPerNewton, shown);
      this.data.charts.forEach((chart, c) => {
        this.values[c][k].textContent = said(chart.factor * now(chart.column), chart.digits);
      });
    });
    this.slider.value = this.time;
    const words = this.byPlace ? `at ${said(place, 0)} mm` : `${said(this.time, 2)} of ${said(this.end, 2)} s`;
    this.pick("shown").textContent = words;
    this.slider.setAttribute("aria-valuetext", words);
  }

  get playing() { return this.frame !== undefined; }

  play(on) {
    if (on === this.playing) return;
    this.pick("play").textContent = on ? "Pause" : "Play";
    if (!on) { cancelAnimationFrame(this.frame); this.frame = undefined; this.show(); this.tell(); return; }
    if (this.time >= this.last - 1e-9) this.time = 0;
    let before;
    const next = (stamp) => {
      const passed = before === undefined ? 0 : (stamp - before) / 1000;
      before = stamp;
      this.go(this.time + passed * Number(this.pick("speed").value), true);
      if (this.time >= this.last) this.play(false); else this.frame = requestAnimationFrame(next);
    };
    this.frame = requestAnimationFrame(next);
  }

  step(steps) { this.play(false); this.go(this.time + steps * this.data.step); }

  get shown() {
    return new Set([...this.root.querySelectorAll("fieldset input:checked")].map((box) => box.value));
  }

  listen() {
    const on = (name, kind, act) => this.pick(name)?.addEventListener(kind, act);
    on("play", "click", () => this.play(!this.playing));
    on("back", "click", () => this.step(-1));
    on("on", "click", () => this.step(1));
    on("time", "input", () => { this.play(false); this.go(Number(this.slider.value)); });
    on("step", "change", (event) => { this.inStep(event.target.value); this.go(this.time); });
    for (const box of this.root.querySelectorAll("fieldset input")) {
      const mark = () => this.root.classList.toggle(`no-${box.value}`, !box.checked);
      box.addEventListener("change", () => { mark(); this.show(); });
      mark();
    }
    this.lanes.forEach((lane) => {
      for (const button of lane.figure.querySelectorAll("button")) {
        button.addEventListener("click", () => this.toMoment(lane, Number(button.dataset.time)));
      }
    });
    this.listenGraphs();
    this.pick("live").addEventListener("keydown", (event) => this.key(event));
    new ResizeObserver(() => this.fit()).observe(this.pick("live"));
  }

  inStep(by) {
    this.byPlace = by === "place";
    this.slider.max = this.last;
    if (this.pick("step")) this.pick("step").value = by;
  }

  // By place a lane shows when it first came there; a moment after it went back is shown by time.
  toMoment(lane, time) {
    this.play(false);
    const place = this.placeOf(lane, time);
    const first = lane === this.leader ? time : this.timeAt(lane, place)[0];
    if (this.byPlace && Math.abs(first - time) > this.data.step) this.inStep("time");
    this.go(this.byPlace && lane !== this.leader ? this.timeAt(this.leader, place)[0] : time, true);
    this.tell();
  }

  // For who listens: what the lanes show, once the motion rests.
  tell() {
    const words = this.lanes.map((lane) => [lane.name, lane.now.textContent, lane.over.textContent].filter(Boolean));
    this.pick("said").textContent = words.map((parts) => parts.join(", ")).join("; ");
  }

  listenGraphs() {
    const area = this.pick("graphs");
    const drag = (event) => {
      const box = this.pick("cursors").getBoundingClientRect();
      if (event.buttons !== 1 || event.clientX > box.right + 8) return;
      this.play(false);
      this.go((event.clientX - box.left) / box.width * this.end);
    };
    area.addEventListener("pointerdown", drag);
    area.addEventListener("pointermove", drag);
  }

  key(event) {
    const kind = event.target.tagName;
    if (event.altKey || event.ctrlKey || event.metaKey || kind === "SELECT") return;
    const many = event.shiftKey ? 10 : 1;
    const acts = {
      ArrowLeft: () => this.step(-many), ArrowRight: () => this.step(many),
      Home: () => { this.play(false); this.go(0); }, End: () => { this.play(false); this.go(this.last); },
    };
    const presses = kind === "BUTTON" || event.target.type === "checkbox";
    if (!presses) acts[" "] = () => this.play(!this.playing);
    if (!acts[event.key]) return;
    event.preventDefault();
    acts[event.key]();
  }
}

async function start(root) {
  if (typeof DecompressionStream === "undefined") return; // the stills stay
  const data = JSON.parse(root.querySelector(".player-data").textContent);
  const tables = await Promise.all(data.lanes.map((lane) => unpack(lane.film, data.channels)));
  const player = new Player(root, data, tables);
  root.classList.add("player-runs");
  root.querySelector(".player-live").hidden = false;
  player.fit();
  player.go(data.opens, true);
  root.dataset.ready = "yes";
}

for (const root of document.querySelectorAll(".player")) start(root);
