// The rig of one lane and its ground, drawn once in millimetres, then only moved.
const LABELLED = [50, 100, 200, 500, 1000]; // mm between numbers on the ground
const ROOM = 46, UNDER = 15; // px a number needs, px it stands under the ground
const TALLEST = 0.42, LOWEST = 220; // of the screen, and px, that a lane is high at most
const LETTER = 4; // px, half a letter of it
const HEAD = 6, SHORTEST = 1.5; // mm: head of an arrow, shortest arrow that is drawn
const BROAD = 9; // px, head of an arrow at least

const digits = (value) => value.toFixed(2);
const line = (points) => points.map((point) => point.map(digits).join(",")).join(" ");
const moved = (x, z, turn) => `translate(${x.toFixed(3)} ${z.toFixed(3)}) rotate(${turn.toFixed(4)})`;

function placed(x, z, turn, [a, b]) {
  const cos = Math.cos(turn * Math.PI / 180), sin = Math.sin(turn * Math.PI / 180);
  return [x + cos * a - sin * b, z + sin * a + cos * b];
}

// Lines and polygons are moved by their points: a path's shape is part of its style, which costs more to change.
function stretch(line, [x1, y1], [x2, y2]) {
  for (const [name, value] of Object.entries({ x1, y1, x2, y2 })) line.setAttribute(name, digits(value));
}

function arrow(polygon, [x, z], [forward, up], broad) {
  const size = Math.hypot(forward, up);
  if (!(size > SHORTEST)) { polygon.setAttribute("points", ""); return; }
  const head = Math.min(broad, 0.6 * size), a = forward / size, b = up / size;
  const at = (along, aside) => [x + along * a - aside * b, z + along * b + aside * a];
  const neck = size - head, wing = 0.4 * head, thin = 0.14 * broad;
  polygon.setAttribute("points", line([
    at(0, thin), at(neck, thin), at(neck, wing), at(size, 0), at(neck, -wing), at(neck, -thin), at(0, -thin),
  ]));
}

// Points of the ground every so many mm along it, from below the start of the rig: [way, x, z, along].
function marks(ground, [startX, startZ], apart) {
  const pieces = [];
  let way = 0, zero = 0, nearest = Infinity;
  for (let k = 1; k < ground.length; k++) {
    const [x, z] = ground[k - 1], [endX, endZ] = ground[k];
    const long = Math.hypot(endX - x, endZ - z), along = [(endX - x) / long, (endZ - z) / long];
    const there = Math.min(Math.max((startX - x) * along[0] + (startZ - z) * along[1], 0), long);
    const away = Math.hypot(startX - x - there * along[0], startZ - z - there * along[1]);
    if (away < nearest) { nearest = away; zero = way + there; }
    pieces.push({ x, z, long, along, way });
    way += long;
  }
  const found = [];
  for (const piece of pieces) {
    const from = piece.way - zero;
    for (let k = Math.ceil(from / apart); k * apart < from + piece.long; k++) {
      const on = k * apart - from;
      found.push([k * apart, piece.x + on * piece.along[0], piece.z + on * piece.along[1], piece.along]);
    }
  }
  return found;
}

// The ground is a picture of its own, which is only shifted; what is laid out and painted anew is the rig.
class Drawing {
  constructor(box, shape, view) {
    Object.assign(this, { box, shape, view });
    this.back = add(box, "lane-ground", "svg", { "aria-hidden": true });
    this.svg = add(box, "lane-svg", "svg", { role: "img", "aria-label": "side view of the rig in motion" });
    this.land = add(this.back, "", "g");
    this.ruler = add(this.back, "ruler", "g");
    this.world = add(this.svg, "world", "g");
    this.drawGround();
    this.axles = shape.axles.map((axle) => this.axle(axle));
    this.body = add(this.world, "chassis", "g");
    add(this.body, "body", "polygon", { points: line(shape.body) });
    for (const [x, z, r] of shape.skids) add(this.body, "skid", "circle", { cx: x, cy: z, r });
    for (const own of this.axles) this.members(own);
    this.unmoved = add(this.world, "carried", "g");
    add(this.unmoved, "unmoved", "polygon", { points: line(shape.body) });
    for (const own of this.axles) this.arrows(own);
  }

  drawGround() {
    const surface = this.shape.ground, end = surface[surface.length - 1];
    const [across, up] = [0, 1].map((k) => surface.map((corner) => corner[k]));
    const { low, high } = this.view.window;
    this.land.edges = { left: Math.min(...across), right: Math.max(...across), top: Math.max(...up) };
    this.land.edges.bottom = Math.min(...up) - (high - low);
    const deep = this.land.edges.bottom;
    add(this.land, "ground", "polygon", { points: line([...surface, [end[0], deep], [surface[0][0], deep]]) });
    for (const piece of this.shape.ice) add(this.land, "ice", "polyline", { points: line(piece) });
    const ticks = marks(surface, this.shape.zero, 50)
      .map(([, x, z, [a, b]]) => `M${digits(x)} ${digits(z)}L${digits(x + 5 * b)} ${digits(z - 5 * a)}`);
    add(this.land, "tick", "path", { d: ticks.join("") });
    add(this.land, "surface", "polyline", { points: line(surface) });
  }

  axle(axle) {
    const housing = add(this.world, "axle", "g"), wheel = add(this.world, "wheel", "g");
    add(wheel, "tyre", "circle", { r: axle.radius });
    add(wheel, "rim", "circle", { r: 0.62 * axle.radius });
    const rim = 0.62 * axle.radius;
    const spokes = [60, 120, 180, 240, 300].map((turn) => placed(0, 0, turn, [rim, 0]));
    add(wheel, "spokes", "path", { d: spokes.map((end) => `M0 0L${end.map(digits).join(" ")}`).join("") });
    add(wheel, "spoke", "path", { d: `M0 0L${digits(axle.radius)} 0` });
    if (!axle.arm) {
      this.world.appendChild(housing); // over its wheel
      const ends = axle.links.map((link) => link[1]);
      if (axle.share === 1) ends.push(axle.shockPins[1]);
      const rods = ends.map((end) => `M${axle.hub.map(digits).join(" ")}L${end.map(digits).join(" ")}`);
      add(housing, "housing", "path", { d: rods.join("") });
    }
    return { axle, housing, wheel };
  }

  members(own) {
    own.shock = add(this.world, "shock", "line");
    own.sleeve = add(this.world, "sleeve", "line");
    own.links = own.axle.links.map(() => add(this.world, "link", "line"));
    own.hub = add(this.world, "hub", "circle", { r: 0.12 * own.axle.radius });
  }

  arrows(own) {
    const one = (kind) => add(this.world, `arrow arrow-${kind}`, "polygon");
    own.arrow = { load: one("load"), thrust: one("thrust"), shock: one("shock"), link: own.axle.links.map(() => one("link")) };
  }

  // Scale to the lane, and so low that two rigs fit on a screen; numbers on the ground keep the size of letters.
  fit(wide) {
    if (!(wide > 0)) return; // hidden; it is fitted when it shows
    const { aside, low, high } = this.view.window, { left, right, top, bottom } = this.land.edges;
    const tallest = Math.max(LOWEST, TALLEST * window.innerHeight);
    const s = this.scale = Math.min(wide / (2 * aside), tallest / (high - low)), tall = Math.round(s * (high - low));
    Object.assign(this, { wide, tall });
    this.at = undefined;
    this.box.style.height = `${tall}px`;
    this.box.style.setProperty("--px", 1 / s);
    for (const [svg, width, height] of [[this.svg, wide, tall], [this.back, s * (right - left), s * (top - bottom)]]) {
      svg.setAttribute("width", Math.ceil(width));
      svg.setAttribute("height", Math.ceil(height));
    }
    this.world.setAttribute("transform", `matrix(${s} 0 0 ${-s} ${wide / 2} ${s * high})`);
    this.land.setAttribute("transform", `matrix(${s} 0 0 ${-s} ${-s * left} ${s * top})`);
    const apart = LABELLED.find((length) => length * s >= ROOM) ?? 2000;
    this.ruler.replaceChildren();
    this.numbers = [];
    for (const [way, x, z, [a, b]] of marks(this.shape.ground, this.shape.zero, apart)) {
      if (a < 0.3) continue;
      const at = { x: s * (x - left) + UNDER * b, y: UNDER * a + s * (top - z) }, words = said(way, 0);
      const node = add(this.ruler, "", "text", { x: digits(at.x), y: digits(at.y), visibility: "hidden" });
      node.textContent = words;
      this.numbers.push({ node, ...at, half: LETTER * words.length, seen: false });
    }
  }

  // Poses are drawn from the middle between the wheels, on which the camera is.
  show(time, now, shown) {
    const kinds = [...shown].join();
    if (!this.scale || (this.at === time && this.kinds === kinds)) return;
    Object.assign(this, { at: time, kinds });
    const poses = this.axles.map(({ axle: { name } }) =>
      [now(`${name}_axle_x_mm`), now(`${name}_axle_z_mm`), now(`${name}_axle_turn_deg`)]);
    const hubs = this.axles.map((own, k) => placed(...poses[k], own.axle.hub));
    const camera = [0, 1].map((k) => (hubs[0][k] + hubs[1][k]) / 2);
    const seen = ([x, z, turn]) => [x - camera[0], z - camera[1], turn];
    const chassis = seen([now("chassis_x_mm"), now("chassis_z_mm"), now("pitch_deg")]);
    this.body.setAttribute("transform", moved(...chassis));
    const unmoved = seen([now("unmoved_x_mm"), now("unmoved_z_mm"), now("unmoved_turn_deg")]);
    this.unmoved.setAttribute("transform", moved(...unmoved));
    this.axles.forEach((own, k) => this.showAxle(own, now, { chassis, pose: seen(poses[k]), camera, shown }));
    const { left, top } = this.land.edges, s = this.scale;
    const right = this.wide / 2 + s * (left - camera[0]), down = s * (camera[1] + this.view.window.high - top);
    this.back.style.transform = `translate(${digits(right)}px, ${digits(down)}px)`;
    this.showNumbers(right, down);
  }

  // Whole numbers only: what is left of one at the edge would read as another.
  showNumbers(right, down) {
    for (const number of this.numbers) {
      const x = number.x + right, y = number.y + down;
      const seen = x >= number.half && x <= this.wide - number.half && y >= LETTER && y <= this.tall - 2 * LETTER;
      if (seen === number.seen) continue;
      number.seen = seen;
      number.node.setAttribute("visibility", seen ? "visible" : "hidden");
    }
  }

  showAxle(own, now, { chassis, pose, camera, shown }) {
    const { axle } = own, name = axle.name;
    const hub = placed(...pose, axle.hub);
    own.housing.setAttribute("transform", moved(...pose));
    own.wheel.setAttribute("transform", moved(...hub, -now(`${name}_wheel_turn_deg`)));
    own.wheel.classList.toggle("in-air", now(`${name}_load_N`) <= this.view.touch);
    own.hub.setAttribute("transform", moved(...hub, 0));
    const links = axle.links.map(([up, down]) => [placed(...chassis, up), placed(...pose, down)]);
    links.forEach((ends, k) => stretch(own.links[k], ...ends));
    const top = placed(...chassis, axle.mount);
    const pins = [placed(...chassis, axle.shockPins[0]), placed(...pose, axle.shockPins[1])];
    const foot = [0, 1].map((k) => (1 - axle.share) * pins[0][k] + axle.share * pins[1][k]);
    stretch(own.shock, top, foot);
    stretch(own.sleeve, top, [0, 1].map((k) => 0.45 * top[k] + 0.55 * foot[k]));
    this.showArrows(own, now, { links, top, foot, camera, shown });
  }

  showArrows(own, now, { links, top, foot, camera, shown }) {
    const { axle } = own, name = axle.name, long = this.view.arrow;
    const broad = Math.max(HEAD, BROAD / this.scale);
    const ground = [now(`${name}_foot_x_mm`) - camera[0], now(`${name}_foot_z_mm`) - camera[1]];
    for (const kind of ["load", "thrust"]) {
      if (!shown.has(kind)) continue;
      const angle = now(`${name}_${kind}_direction_deg`) * Math.PI / 180, size = long * now(`${name}_${kind}_N`);
      arrow(own.arrow[kind], ground, [size * Math.cos(angle), size * Math.sin(angle)], broad);
    }
    if (shown.has("shock")) {
      const way = Math.hypot(top[0] - foot[0], top[1] - foot[1]), size = -long * now(`${name}_shock_force_N`) / way;
      arrow(own.arrow.shock, foot, [size * (top[0] - foot[0]), size * (top[1] - foot[1])], broad);
    }
    if (!shown.has("link")) return;
    const pushes = [now(`${name}_lower_link_N`), now(`${name}_upper_link_N`)];
    if (axle.arm) { arrow(own.arrow.link[0], links[0][0], pushes.map((push) => -long * push), broad); return; }
    links.forEach(([up, down], k) => {
      const way = Math.hypot(up[0] - down[0], up[1] - down[1]), size = -long * pushes[k] / way;
      arrow(own.arrow.link[k], down, [size * (up[0] - down[0]), size * (up[1] - down[1])], broad);
    });
  }
}
