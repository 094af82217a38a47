// The page as a whole: what is changed, what is asked of the bench, and what is shown of its answers.
const REST = 150, AGAIN = 1000, LONGEST_PAST = 200; // ms at rest, ms between two tries to reach the bench; undo

const part = (id) => document.getElementById(id);
const heard = (id, what, act) => part(id).addEventListener(what, act);
const loaded = (tag, attributes) => new Promise((done) => {
  const made = make(tag, "", "", attributes);
  made.onload = done;
  document.head.append(made);
});
const same = (a, b) => JSON.stringify(a) === JSON.stringify(b);

class Bench {
  constructor() {
    Object.assign(this, { set: {}, past: [], undone: [], n: 0, caseName: "", view: "start", faults: new Map() });
    this.side = new Side(part("side"), {
      value: (handle) => handle.paths.map((path, k) => this.set[path] ?? handle.at[k]),
      changed: (handle) => handle.paths.some((path) => path in this.set),
      move: (handle, at) => this.change(Object.fromEntries(handle.paths.map((path, k) => [path, at[k]]))),
      back: (handle) => this.change(Object.fromEntries(handle.paths.map((path) => [path, undefined]))),
      hold: (held) => this.hold(held),
      pick: (handle) => this.pick(handle),
    });
    this.knobs = new Knobs(part("knobs"), part("find"), {
      set: (path, value) => this.change({ [path]: value }),
      back: (path) => this.change({ [path]: undefined }),
      hold: (held) => this.hold(held),
    });
    this.curves = new Curves(part("curves"));
    this.listen();
    this.connect();
  }

  // --- the line to the bench ---

  connect() {
    const line = this.line = new WebSocket(new URL("socket", location.href.replace(/^http/, "ws")));
    line.onmessage = (event) => {
      const message = JSON.parse(event.data);
      this[`hear_${message.type}`]?.(message);
    };
    line.onopen = () => {
      part("lost").hidden = true;
      this.flying = undefined;
      if (this.hello) this.begin(); // it was lost, and what is changed here goes on
    };
    line.onclose = () => {
      part("lost").hidden = false;
      this.answering = false;
      setTimeout(() => this.connect(), AGAIN);
    };
  }

  ask(message) {
    if (this.line.readyState !== WebSocket.OPEN) return false;
    this.line.send(JSON.stringify({ case: this.caseName, set: this.set, ...message }));
    return true;
  }

  begin() { this.ask({ do: "begin", set: {} }); }

  // One question in flight; once the hand rests, what is in flight and stale gives way.
  pump() {
    if (!this.answering) return;
    if (this.dirty) {
      if (this.flying !== undefined && !this.rested) return;
      if (this.ask({ n: ++this.n })) [this.flying, this.dirty, this.whole] = [this.n, false, false];
    } else if (this.rested && this.flying === undefined && !this.whole && !this.faults.size) {
      this.whole = this.ask({ do: "second", n: this.n, film: this.view === "film" });
    }
  }

  // --- what is changed ---

  get changed() { return Object.keys(this.set).length > 0; }

  fileValue(path) {
    const knob = this.knobs.byPath.get(path);
    return knob ? knob.value : this.places.get(path);
  }

  change(values) {
    const set = { ...this.set };
    for (const [path, value] of Object.entries(values)) {
      if (value === undefined || value === this.fileValue(path)) delete set[path]; else set[path] = value;
    }
    if (same(set, this.set)) return;
    if (!this.held) this.remember();
    Object.assign(this, { set, undone: [] });
    this.turned();
  }

  turned() {
    this.dirty = true;
    this.rested = false;
    clearTimeout(this.resting);
    this.resting = setTimeout(() => { this.rested = true; this.pump(); }, REST);
    this.pump(); // first: the bench works while this is drawn
    this.frame ??= requestAnimationFrame(() => this.draw(false));
  }

  // While something is held, all its steps are one, and no scale changes.
  hold(held) {
    if (held === Boolean(this.held)) return;
    if (held) this.remember();
    this.held = held;
    if (!held) this.draw();
  }

  get here() { return { set: this.set, caseName: this.caseName }; }

  remember() {
    const last = this.past[this.past.length - 1];
    if (last && same(last, this.here)) return;
    this.past = [...this.past.slice(1 - LONGEST_PAST), this.here];
  }

  // Go to the last of some states that is another one; that at hand goes to the others.
  go(from, to) {
    let there;
    do there = from.pop(); while (there && same(there, this.here));
    if (!there) return;
    to.push(this.here);
    this.set = there.set;
    if (there.caseName !== this.caseName) this.choose(there.caseName); else this.turned();
  }

  undo() { this.go(this.past, this.undone); }

  redo() { this.go(this.undone, this.past); }

  choose(caseName) {
    this.caseName = caseName;
    this.showTools();
    this.begin();
  }

  // --- what is heard ---

  hear_hello(hello) {
    if (!this.hello && hello.set) this.set = hello.set;
    Object.assign(this, { hello, caseName: hello.case, base: hello.base, answering: true });
    if (!this.now || this.now.case !== hello.case || !this.changed) this.now = hello.base;
    this.places = new Map(hello.handles.flatMap((handle) => handle.paths.map((path, k) => [path, handle.at[k]])));
    document.title = hello.title;
    part("title").textContent = hello.title;
    part("file").textContent = hello.file;
    part("case").replaceChildren(...hello.cases.map((name) => make("option", "", name)));
    part("case-label").hidden = hello.cases.length < 2;
    this.side.take(hello.handles);
    this.side.scale = undefined;
    this.knobs.take(hello.knobs);
    this.picked = hello.handles.find((handle) => handle.id === this.picked?.id);
    this.turned();
    this.draw();
  }

  hear_first(answer) {
    if (answer.n !== this.flying) return; // stale
    this.flying = undefined;
    this.now = answer;
    this.faults = new Map();
    this.pump();
    this.draw();
  }

  hear_fault(answer) {
    if (answer.n !== this.flying && answer.n !== this.n) return;
    this.flying = undefined;
    this.faults = new Map(answer.faults.map((fault) => [fault.path, fault]));
    this.draw();
    this.pump();
  }

  hear_second(answer) {
    if (answer.n !== this.n || this.dirty) return;
    this.known = answer;
    const { metrics, state, state_words, headline, lines, side } = answer; // of the run itself, not of a quick one
    if (answer.n === this.now.n) Object.assign(this.now, { metrics, state, state_words, lines, side, verdict: headline });
    this.draw();
  }

  hear_saved(answer) {
    part("keeping").close();
    this.notice(answer.text);
    this.begin();
  }

  hear_refused(answer) {
    if (this.hello && this.caseName !== this.hello.case) { // it cannot be run as the file has it
      this.caseName = this.hello.case;
      this.showTools();
    }
    if (part("keeping").open) {
      part("keeping-said").textContent = answer.text;
      this.begin(); // should the file be another one by now
    }
    else this.notice(answer.text);
    if (!this.answering) setTimeout(() => this.begin(), AGAIN); // the file may be a good one by then
  }

  async hear_command({ text }) {
    const copied = await navigator.clipboard.writeText(text).then(() => true, () => false);
    this.notice(copied ? "Copied: " : "To be copied: ", text);
  }

  notice(words, code = "") {
    part("notice").replaceChildren(words);
    if (code) part("notice").append(make("code", "", code));
  }

  // --- what is shown ---

  // Of an answer everything, as it comes; else what the hand moves, once a frame.
  draw(answered = true) {
    cancelAnimationFrame(this.frame);
    this.frame = undefined;
    if (!this.now) return;
    if (answered) this.showAnswer(); else this.side.place();
    this.showKnown();
    this.showPlace();
    this.showTools();
    this.knobs.show(this.set, this.faults);
  }

  showAnswer() {
    const { side, lines, n } = this.now;
    document.body.classList.toggle("stale", this.faults.size > 0);
    if (!this.held && this.side.base) this.side.fit();
    this.side.show(this.base.side, side, this.changed);
    this.curves.show(this.base.lines, lines, this.changed, this.held);
    this.showMoment();
    this.showMetrics();
    this.showFaults();
    document.body.dataset.shown = n;
  }

  showMoment() {
    const moment = this.now.side.decisive, choice = document.querySelector("input[name=view][value=decisive]");
    say(part("decisive-words"), moment ? `Decisive moment (${moment.words})` : "No decisive moment");
    choice.disabled = !moment;
  }

  showMetrics() {
    const { metrics, state, state_words: words, verdict } = this.now;
    part("state").dataset.state = state;
    say(part("state"), `Job: ${words}`);
    say(part("verdict"), verdict);
    const list = part("metrics");
    if (!same(metrics.map((one) => one.key), this.listed)) {
      this.listed = metrics.map((one) => one.key);
      list.replaceChildren(...metrics.map((one) => {
        const row = make("div", "metric", "", { "data-key": one.key });
        row.append(make("dt", "", one.label), make("dd"), make("dd", "was"), make("dd", "note"));
        return row;
      }));
    }
    metrics.forEach((one, k) => {
      const [, value, was, note] = list.children[k].children;
      say(value, one.text);
      say(note, one.note || "");
      say(was, this.changed && one.was !== null ? `was ${one.was}` : "");
    });
  }

  // The whole answer; it pales while it is not that of the run at hand.
  showKnown() {
    const known = this.known, fresh = known && known.n === this.now.n && !this.dirty && this.flying === undefined;
    for (const id of ["told", "accounts", "bands"]) part(id).classList.toggle("old", !fresh);
    if (!fresh || known.shown) return;
    known.shown = true;
    const told = [...known.concerns.map((text) => make("p", "concern", text)), make("p", "", known.account), make("p", "dim", known.audit)];
    part("told").replaceChildren(...told);
    part("accounts").querySelector("div").innerHTML = known.charts.join("");
    this.curves.showBands(part("bands"), known.bands);
    if (known.film) this.showFilm(known.film);
  }

  // The player comes when it is first wanted.
  async showFilm(html) {
    this.player ??= Promise.all([loaded("link", { rel: "stylesheet", href: "film.css" }), loaded("script", { src: "film.js" })]);
    await this.player;
    const box = part("film"), playing = [...box.querySelectorAll(".player-play")].find((one) => one.textContent === "Pause");
    playing?.click();
    box.innerHTML = html;
    for (const root of box.querySelectorAll(".player")) startPlayer(root);
  }

  showFaults() {
    const texts = [...this.faults].map(([path, fault]) => `${this.knobs.byPath.get(path)?.label ?? path}: ${fault.text}`);
    say(part("faults"), texts.join("\n"));
  }

  showTools() {
    const other = (one) => !same(one, this.here);
    part("undo").disabled = !this.past.some(other);
    part("redo").disabled = !this.undone.some(other);
    part("reset").disabled = part("keep").disabled = !this.changed;
    if (part("case").value !== this.caseName) part("case").value = this.caseName;
  }

  pick(handle) {
    this.picked = handle;
    this.showPlace();
  }

  // The place of the handle at hand, in numbers.
  showPlace() {
    const form = part("place"), handle = this.picked, id = handle?.id ?? "", other = form.dataset.id !== id;
    form.dataset.id = id;
    if (!handle) {
      if (other) form.replaceChildren(make("span", "dim", "Drag a mount or a weight. Arrow keys move it by 0.5 mm, with Shift by 5."));
      return;
    }
    if (other) {
      const fields = ["forward of the rear axle", "above the table"].map((words, k) => {
        const field = make("input", "", "", { type: "number", step: "0.5", "aria-label": `${handle.label}, mm ${words}` });
        field.addEventListener("change", () => { if (field.value !== "") this.change({ [handle.paths[k]]: Number(field.value) }); });
        const label = make("label", "", `${words} `);
        label.append(field, " mm");
        return label;
      });
      const back = make("button", "back", "back", { type: "button" });
      back.addEventListener("click", () => this.side.on.back(handle));
      form.replaceChildren(make("b", "", handle.label), ...fields, make("span", "dim was"), back);
    }
    const at = this.side.on.value(handle), changed = this.side.on.changed(handle);
    form.querySelectorAll("input").forEach((field, k) => { if (document.activeElement !== field) field.value = plain(at[k]); });
    say(form.querySelector(".was"), changed ? `was ${handle.at.map(plain).join(", ")}` : "");
    form.querySelector(".back").hidden = !changed;
  }

  show(view) {
    this.view = view;
    const film = view === "film";
    part("film").hidden = !film;
    part("side").hidden = film;
    if (film) {
      if (!this.known?.film || this.known.n !== this.n) this.whole = false;
      this.rested = true;
      this.pump();
      return;
    }
    this.side.which = view;
    this.side.fit();
    this.side.draw();
  }

  // --- what hands do ---

  listen() {
    for (const way of ["undo", "redo"]) heard(way, "click", () => this[way]());
    heard("reset", "click", () => this.change(Object.fromEntries(Object.keys(this.set).map((path) => [path, undefined]))));
    heard("copy", "click", () => this.ask({ do: "command" }));
    heard("case", "change", (event) => { this.remember(); this.undone = []; this.choose(event.target.value); });
    heard("place", "submit", (event) => event.preventDefault());
    document.querySelector(".views").addEventListener("change", (event) => this.show(event.target.value));
    heard("keep", "click", () => {
      part("keeping-said").textContent = "";
      part("keeping").showModal();
      part("name").focus();
    });
    part("keeping").querySelector("form").addEventListener("submit", (event) => {
      if (event.submitter?.value === "no") return;
      event.preventDefault();
      const kind = new FormData(event.target).get("as"), name = part("name").value.trim();
      if (name) this.ask({ do: kind, [kind === "save_rig" ? "file" : "name"]: name });
    });
    addEventListener("keydown", (event) => {
      const writes = event.target.matches?.("input[type=search], input[type=number], #name");
      const way = { z: event.shiftKey ? "redo" : "undo", y: "redo" }[event.key.toLowerCase()];
      if (!way || writes || !(event.ctrlKey || event.metaKey)) return;
      event.preventDefault();
      this[way]();
    });
  }
}

new Bench();
