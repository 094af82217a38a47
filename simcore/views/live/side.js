// The side view: the rig to scale, the file's own pale behind it, and handles that can be dragged.
const STEP = 0.5, LEAP = 5; // mm of an arrow key, and with shift
const AROUND = 34, LOW = 24; // mm that are seen beside the rig, and of ground below it
const REACH = matchMedia("(pointer: coarse)").matches ? 20 : 12; // px around a handle that take hold of it
const TOGETHER = 8; // mm, by which the tyres of both may be apart
const FAR = 3000; // mm, length of a line that leads out of the view
const TALL = 0.52; // of the screen, that the view is high at most
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowDown: [0, -1], ArrowUp: [0, 1] };

function turned([x, z], angle) {
  const cos = Math.cos(angle), sin = Math.sin(angle);
  return [cos * x - sin * z, sin * x + cos * z];
}

// Where a place of the rig file is in the world, for what is fixed to a body.
function inWorld({ at, turn, bench }, [x, z]) {
  const [a, b] = turned([x - bench[0], z - bench[1]], turn);
  return [at[0] + a, at[1] + b];
}

const middle = (drawing) => [0, 1].map((k) => (drawing.axles[0].hub[k] + drawing.axles[1].hub[k]) / 2);
const toStep = (value) => Math.round(value / STEP) * STEP;

// Shapes in their order, each kept for the next drawing and changed only where that differs.
class Sheet {
  constructor(svg, kind) { Object.assign(this, { root: add(svg, kind, "g"), count: 0 }); }

  draw(kind, shape, attributes) {
    let node = this.root.childNodes[this.count++];
    if (node?.localName !== shape) {
      const made = add(this.root, "", shape);
      node?.replaceWith(made);
      node = made;
    }
    put(node, { class: kind, ...attributes });
  }

  done() {
    while (this.root.childNodes.length > this.count) this.root.lastChild.remove();
    this.count = 0;
  }
}

class Side {
  constructor(box, on) {
    Object.assign(this, { box, on, handles: [], nodes: new Map(), which: "start" });
    this.svg = add(box, "side", "svg", { role: "group", "aria-label": "side view of the rig, to scale" });
    [this.land, this.pale, this.rig] = ["land", "pale", "rig"].map((kind) => new Sheet(this.svg, kind));
    this.grips = add(this.svg, "grips", "g");
    new ResizeObserver(() => { this.fit(); this.draw(); }).observe(box);
  }

  // What there is to drag; the values at hand are asked for when they are needed.
  take(handles) {
    this.handles = handles;
    this.nodes.clear();
    this.grips.replaceChildren();
    for (const handle of handles) {
      const node = add(this.grips, `grip of-${handle.kind}`, "g", { tabindex: 0, role: "button", "data-id": handle.id });
      add(node, "reach", "circle", { r: REACH });
      if (handle.kind === "mass") add(node, "dot", "rect", { x: -5, y: -5, width: 10, height: 10 });
      else add(node, "dot", "circle", { r: handle.kind === "shock" ? 4.5 : 5.5 });
      add(node, "", "title").textContent = handle.label;
      this.listen(node, handle);
      this.nodes.set(handle.id, node);
    }
  }

  // base, now: {start, decisive}; changed: whether they differ
  show(base, now, changed) {
    Object.assign(this, { base, now, changed });
    if (!this.scale) this.fit();
    this.draw();
  }

  get drawing() { return this.now && (this.now[this.which] || this.now.start); }

  // Scale and middle of the view, from the file's rig; both hold until something is let go.
  fit() {
    const shown = this.base && [this.base.start, this.drawing].filter(Boolean);
    const wide = this.box.clientWidth;
    if (!shown || !wide) return;
    let aside = 0, low = 0, high = 0;
    for (const drawing of shown) {
      const [x, z] = this.eye(drawing);
      for (const [a, b] of [...drawing.body, ...drawing.axles.flatMap((one) => one.shock)]) {
        aside = Math.max(aside, Math.abs(a - x));
        [low, high] = [Math.min(low, b - z), Math.max(high, b - z)];
      }
      for (const { hub, radius } of drawing.axles) {
        aside = Math.max(aside, Math.abs(hub[0] - x) + radius);
        [low, high] = [Math.min(low, hub[1] - z - radius), Math.max(high, hub[1] - z + radius)];
      }
    }
    low -= LOW;
    high += LOW / 2;
    this.scale = Math.min(wide / 2 / (aside + AROUND), Math.max(200, TALL * innerHeight) / (high - low));
    const tall = Math.round(this.scale * (high - low));
    Object.assign(this, { wide, tall, up: this.scale * high });
    put(this.svg, { width: wide, height: tall });
  }

  // Where both stand on the same ground they are seen from one place; else each from between its own wheels.
  eye(drawing) {
    const together = this.which === "start" && this.base.start.axles.every((axle, k) =>
      Math.hypot(...[0, 1].map((j) => axle.contact[j] - this.now.start.axles[k].contact[j])) < TOGETHER);
    return middle(together ? this.base.start : drawing);
  }

  draw() {
    const now = this.drawing;
    if (!now || !this.scale) return;
    const base = this.base[this.which] || this.base.start;
    const pale = JSON.stringify([this.changed, this.scale, this.eye(base)]);
    this.seen = this.looker(this.eye(now));
    this.drawLand(this.now);
    if (this.paleDrawn !== pale || this.paleOf !== base) {
      [this.paleDrawn, this.paleOf] = [pale, base];
      if (this.changed) this.drawRig(this.pale, base, this.looker(this.eye(base)));
      this.pale.done();
    }
    this.drawCentres(now);
    this.drawRig(this.rig, now, this.seen);
    this.rig.done();
    this.place();
  }

  looker([x, z]) {
    return ([a, b]) => [this.wide / 2 + this.scale * (a - x), this.up - this.scale * (b - z)];
  }

  line(sheet, kind, points, look = this.seen, closed = false) {
    const text = points.map((point) => look(point).map((k) => k.toFixed(1)).join(",")).join(" ");
    sheet.draw(kind, closed ? "polygon" : "polyline", { points: text });
  }

  dot(sheet, kind, point, r, look) {
    const [cx, cy] = look(point);
    sheet.draw(kind, "circle", { cx: cx.toFixed(1), cy: cy.toFixed(1), r: r.toFixed(1) });
  }

  drawLand({ ground: surface, ice }) {
    const drawn = JSON.stringify([surface, ice, this.seen([0, 0]), this.scale]);
    if (drawn === this.landDrawn) return;
    this.landDrawn = drawn;
    const deep = Math.min(...surface.map((point) => point[1])) - 1e4;
    this.line(this.land, "ground", [...surface, [surface[surface.length - 1][0], deep], [surface[0][0], deep]], this.seen, true);
    this.line(this.land, "surface", surface);
    for (const piece of ice) this.line(this.land, "ice", piece);
    this.land.done();
  }

  drawRig(sheet, drawing, look) {
    for (const { hub, radius, links, arm } of drawing.axles) {
      this.dot(sheet, "tyre", hub, this.scale * radius, look);
      this.dot(sheet, "rim", hub, 0.62 * this.scale * radius, look);
      if (!arm) for (const [, pin] of links) this.line(sheet, "housing", [hub, pin], look);
    }
    this.line(sheet, "body", drawing.body, look, true);
    for (const [x, z, r] of drawing.skids) this.dot(sheet, "skid", [x, z], this.scale * r, look);
    for (const { links, shock: [top, foot], hub } of drawing.axles) {
      this.line(sheet, "shock", [top, foot], look);
      this.line(sheet, "sleeve", [top, [0, 1].map((k) => 0.45 * top[k] + 0.55 * foot[k])], look);
      for (const ends of links) this.line(sheet, "link", ends, look);
      this.dot(sheet, "hub", hub, 4, look);
    }
    this.mark(sheet, "cg", drawing.cg, look);
  }

  // Where the links of an axle meet, and the line along which its thrust lifts or lowers the chassis.
  drawCentres(drawing) {
    for (const { name, arm, links, centre, contact, along } of drawing.axles) {
      this.line(this.rig, `thrust ${name}`, [contact, [0, 1].map((k) => contact[k] + FAR * along[k])]);
      if (!centre) continue;
      if (!arm) for (const [, pin] of links) this.line(this.rig, `ray ${name}`, [pin, centre]);
      this.mark(this.rig, `centre ${name}`, centre, this.seen);
    }
  }

  mark(sheet, kind, point, look) {
    const [x, y] = look(point).map((k) => k.toFixed(1));
    sheet.draw(kind, "path", { d: `M${x} ${y}m-7 0h14m-7 -7v14` });
    sheet.draw(kind, "circle", { cx: x, cy: y, r: 5 });
  }

  place() {
    if (!this.seen) return;
    for (const handle of this.handles) {
      const at = this.on.value(handle), [left, down] = this.seen(inWorld(this.drawing.frames[handle.body], at));
      const node = this.nodes.get(handle.id);
      node.classList.toggle("changed", this.on.changed(handle));
      put(node, {
        transform: `translate(${left.toFixed(1)} ${down.toFixed(1)})`,
        "aria-label": `${handle.label}: ${at.map(plain).join(", ")} mm`,
      });
    }
  }

  listen(node, handle) {
    let from;
    const steps = (event) => {
      const across = (event.clientX - from.x) / this.scale, up = (from.y - event.clientY) / this.scale;
      return turned([across, up], -from.turn).map((step, k) => toStep(from.at[k] + step));
    };
    node.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      event.preventDefault();
      node.focus({ preventScroll: true });
      node.setPointerCapture(event.pointerId);
      from = { x: event.clientX, y: event.clientY, at: this.on.value(handle), turn: this.drawing.frames[handle.body].turn };
      this.on.hold(true);
    });
    node.addEventListener("pointermove", (event) => {
      if (!from) return;
      this.on.move(handle, steps(event));
    });
    const letGo = () => {
      if (!from) return;
      from = undefined;
      this.on.hold(false);
    };
    for (const over of ["pointerup", "pointercancel"]) node.addEventListener(over, letGo);
    node.addEventListener("focus", () => this.on.pick(handle));
    node.addEventListener("dblclick", () => this.on.back(handle));
    node.addEventListener("keydown", (event) => {
      const way = ARROWS[event.key];
      if (!way || event.ctrlKey || event.metaKey || event.altKey) return;
      event.preventDefault();
      this.on.hold(true);
      const at = this.on.value(handle), far = event.shiftKey ? LEAP : STEP;
      this.on.move(handle, [0, 1].map((k) => at[k] + far * way[k]));
    });
    node.addEventListener("keyup", (event) => { if (ARROWS[event.key]) this.on.hold(false); });
    node.addEventListener("blur", () => this.on.hold(false));
  }
}
