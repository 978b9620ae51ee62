// What the page shows, in the words of drylane join.

const $ = (id) => document.getElementById(id);

// put changes a text only where it is another: a screen reader says what changes.
function put(id, text, style = "") {
  const e = typeof id === "string" ? $(id) : id;
  if (e.textContent !== text) e.textContent = text;
  if (e.className !== style) e.className = style;
}

const show = (id, yes) => { if ($(id).hidden === yes) $(id).hidden = !yes; };

const count = (n, what) => n + " " + what + (n === 1 ? "" : "s");

// clockText is a span in seconds as m:ss, or h:mm:ss.
function clockText(s) {
  s = Math.max(0, Math.floor(s));
  const two = (n) => String(n).padStart(2, "0"), h = Math.floor(s / 3600), m = Math.floor(s / 60) % 60;
  return h ? h + ":" + two(m) + ":" + two(s % 60) : m + ":" + two(s % 60);
}

// tenths is a span in tenths of a second, cut, not rounded: a countdown reaches 0.0 when
// the moment is there.
const tenths = (s) => (Math.floor(Math.max(0, s) * 10 + 1e-9) / 10).toFixed(1);

const toGo = (s) => "in " + (s >= 100 ? clockText(s) : tenths(s) + " s");

const spanUp = (s) => toGo(s + 0.0999).slice(3); // rounded up

// within says how well a clock is known, rounded up.
const within = (ns) => "within " + (ns < 1e6 ? Math.max(0.1, Math.min(0.9, Math.ceil(ns / 1e5) / 10)).toFixed(1) : Math.ceil(ns / 1e6)) + " ms";

// names are a few names and how many more there are.
function names(list) {
  if (list.length > 4) return list.slice(0, 3).join(", ") + " and " + (list.length - 3) + " more";
  return list.length < 2 ? list.join("") : list.slice(0, -1).join(", ") + " and " + list[list.length - 1];
}

const roleWords = (role) => role.replace(/^position:/, "");

// stillUp says what is up by the list.
function stillUp(s) {
  const unknown = s.unknown || 0, up = (s.up || 0) - unknown;
  if (!up && !unknown) return "LIST: nothing up; ask the spotter";
  if (!up) return "LIST: " + unknown + " unknown; ask the spotter";
  return up + " still up for " + spanUp((s.clear_ns || 0) / 1e9) + (unknown ? ", " + unknown + " unknown" : "");
}

const doneWords = {
  hold: "HOLD called", acknowledge: "the hold is acknowledged", ready: "told as ready", unready: "told as not ready",
  seen: "told as seen", "did-not-go": "told as not gone", object: "a resume is refused", allow: "a resume is allowed",
  note: "noted", rename: "renamed", tap: "tapped", standdown: "asked the shooter to stand the position down",
  withdraw: "the shooter is not asked any more",
};

// A Screen draws what a link knows. told has what was said of cues.
class Screen {
  constructor(link) {
    this.link = link;
    this.past = new Map(); // cues that were commanded, by their id, until they are told of
    this.touched = 0; // when the page was last touched
    this.taps = 0;
  }

  // mine is what is known of whoever sits here.
  among(list) { return (list || []).includes(this.name()); }
  name() { const w = this.link.view.welcome; return w ? w.name : ""; }
  role() { const w = this.link.view.welcome; return w ? w.role : ""; }
  kind() { return this.role().split(":")[0]; }
  line() { return this.link.view.crew.find((l) => l.name === this.name()) || {}; }
  awaited() { const v = this.link.view; return Boolean(v.state && v.state.hold && !v.lost && this.among(v.state.waits)); }
  struck() { const v = this.link.view; return Boolean(v.state && !v.lost && this.among(v.state.struck)); }
  asks() { const v = this.link.view; return Boolean(v.state && this.among(v.state.asks_down)); }
  ready() { return Boolean(this.link.view.cues.ready || this.line().ready); }
  objects() { return Boolean(this.line().objects); }
  madeSafe() { const v = this.link.view; return Boolean(v.state && !v.lost && !v.over && v.state.state === "safe" && (v.state.made_safe || v.state.heard > 0)); }
  wasCut() {
    const v = this.link.view, w = v.welcome;
    return this.madeSafe() && (!w || !w.length_ns || v.state.heard < Math.floor((w.length_ns * w.rate) / 1e9));
  }
  next() { return this.link.view.cues.list.find((c) => !c.fired && !c.down); }

  draw() {
    const v = this.link.view;
    const role = roleWords(this.role());
    put("who", this.name().toLowerCase() === role.toLowerCase() ? this.name() : this.name() + ", " + role);
    this.drawState();
    this.drawLink();
    this.drawNext();
    this.drawMessage();
    this.drawDeeds();
    this.drawCues();
    this.drawPast();
    this.drawCrew();
    const hold = v.state && !v.lost && !v.over ? v.state.hold || 0 : this.link.shows;
    if (hold !== this.link.shows) {
      this.link.shows = hold;
      this.link.ask(); // the lead waits to hear that it is shown
    }
  }

  // stateWords are the word for the state, what it demands, and how it looks.
  stateWords() {
    const v = this.link.view, s = v.state;
    if (v.over) return ["□ OVER", "the lead has ended the run", ""];
    if (v.lost) return ["× LINK LOST", "held here; treat everything as live. HOLD by radio or by voice", "held"];
    if (!s) return ["…", "waiting for the lead", ""];
    if (this.wasCut()) return ["○ CUT", this.cutWords() + "; NOBODY GOES IN", "held"];
    if (this.madeSafe()) return ["○ SAFE", "the show has ended and was made safe; NOBODY GOES IN", "held"];
    switch (s.state) {
      case "held":
        return ["■ HELD", "HELD IS NOT SAFE TO ENTER", "held"];
      case "running":
        return ["▸ RUNNING", "", "run"];
      case "armed":
        return ["◆ ARMED", "the show can start at any moment", "run"];
      case "ended":
        return ["□ ENDED", "tell of each cue; what did not go: treat as live", ""];
    }
    return ["○ SAFE", "not armed yet. Nothing is fired: this is a rehearsal.", ""];
  }

  // cutWords say what a cut left; a listener is not told of cues.
  cutWords() {
    const left = this.link.view.cues.left;
    return left ? "cut before " + count(left, "cue") + ": treat as live" : "cut: treat everything as live";
  }

  // waitWords say for how long nobody goes in. A wait that is over lets nobody in by itself.
  waitWords() {
    const s = this.link.view.state, gone = Math.max(0, own() - this.link.view.came);
    const left = ((s.wait_ns || 0) - gone) / 1e9, ago = clockText((s.for_ns + gone) / 1e9) + " ago";
    return "NOBODY GOES IN " + (left > 0 ? "for " + clockText(Math.ceil(left)) : "before the shooter says so") + (this.wasCut() ? "; cut " : "; made safe ") + ago;
  }

  drawState() {
    const v = this.link.view, s = v.state, [word, demand, look] = this.stateWords();
    put("word", word);
    put("demand", demand);
    if ($("state").className !== look) $("state").className = look;
    let since = "";
    if (v.lost) since = v.came > 0 ? "nothing heard for " + clockText((own() - v.came) / 1e9) + "; it comes back by itself" : "it comes back by itself";
    else if (this.madeSafe()) since = this.waitWords();
    else if (s && !v.over) since = "for " + clockText((s.for_ns + Math.max(0, own() - v.came)) / 1e9) + (s.hold ? ": " + (s.why || "nobody has told why") : "");
    put("since", since, this.madeSafe() ? "alarm" : "");
    this.drawAcknowledge();
  }

  // drawAcknowledge keeps the button where it is until the hold is over: nothing below it
  // moves as it is pressed. Who was struck off can still acknowledge.
  drawAcknowledge() {
    const v = this.link.view, hold = v.state && !v.lost ? v.state.hold || 0 : 0;
    const done = hold > 0 && this.answered === hold, can = !done && (this.awaited() || (hold > 0 && this.struck()));
    show("acknowledge", done || can);
    put("acknowledge", done ? "✓ acknowledged" : "acknowledge the hold");
    if ($("acknowledge").disabled === can) $("acknowledge").disabled = !can;
  }

  // acknowledge acknowledges the hold that is shown, and took notes that the lead took it.
  acknowledge() {
    this.answering = this.link.view.state.hold;
    this.link.do("acknowledge", { hold: this.answering });
  }

  took(deed) {
    if (deed === "acknowledge") this.answered = this.answering;
    if (deed === "tap") this.taps++; // those that were refused do not count
  }

  drawLink() {
    const v = this.link.view, r = this.link.clock.at(own());
    if (v.lost) put("link", "LINK LOST", "alarm");
    else if (!r) put("link", v.state ? "no clock yet" : "", "alarm");
    else put("link", "clock " + within(r.bound), r.bound > 50e6 ? "alarm" : "");
  }

  drawNext() {
    const v = this.link.view, c = this.next(), runs = this.link.running() && this.link.clock.at(own());
    show("next", Boolean(c && runs));
    if (!c || !runs) return;
    const s = this.link.until(c.lit);
    put("count", s < 100 ? tenths(s) : clockText(s));
    put("nextcue", (s < 100 ? "s to cue " : "to cue ") + c.cue + this.what(c));
  }

  // what is a cue's place, for who sees all, and its effect.
  what(c) {
    const text = [this.kind() === "position" ? "" : c.position, c.effect].filter(Boolean).join(", ");
    return text ? ": " + text : "";
  }

  drawMessage() {
    const v = this.link.view, s = v.state, a = v.answer, fresh = a && own() - this.answerAt < 6e9;
    if (v.answers !== this.answers) {
      this.answers = v.answers;
      this.answerAt = own();
      return this.drawMessage();
    }
    this.forgetHold();
    put("sky", s && !v.lost && !v.over ? stillUp(s) : ""); // by itself: it changes too often to be read out
    if (this.link.pending && !v.over) return put("message", "calling HOLD: not answered yet; HOLD by radio or by voice", "alarm");
    if (v.over || v.lost || !s) return put("message", fresh && a.refused ? a.refused : "", "alarm");
    if (fresh && a.refused) return put("message", "not done: " + a.refused, "alarm");
    if (this.struck()) return put("message", "STRUCK OFF: the shooter does not wait for your answer", "alarm");
    if (fresh && a.deed === "hold" && s.state !== "running" && s.state !== "held") return put("message", "the show is " + s.state + ": nothing to hold", "alarm");
    if (fresh && a.deed !== "tap") return put("message", "done: " + (doneWords[a.deed] || a.deed), "good");
    if (s.forbids) return put("message", "RESUME refused by " + s.forbids.split(" refuses it").join(""), "alarm");
    if (s.hold && (s.waits || []).length && !this.awaited()) return put("message", "not yet acknowledged: " + names(s.waits));
    if (this.asks()) return put("message", "asked to stand " + roleWords(this.role()) + " down", "alarm");
    put("message", "");
  }

  // forgetHold drops what came of a HOLD once the show is in another state than held: it
  // was about the state before.
  forgetHold() {
    const v = this.link.view, state = v.state ? v.state.state : "";
    if (state === this.was) return;
    this.was = state;
    if (v.answer && v.answer.deed === "hold" && !v.answer.refused && state !== "held") this.answerAt = -Infinity;
  }

  drawDeeds() {
    const v = this.link.view, may = v.welcome && v.state && !v.over, k = this.kind();
    show("hold", Boolean(may));
    show("ready", Boolean(may && k !== "listener"));
    put("ready", this.ready() ? "✓ ready" : "ready");
    $("ready").setAttribute("aria-pressed", String(this.ready()));
    show("standdown", Boolean(may && k === "position"));
    put("standdown", this.asks() ? "✓ asks to stand down" : "ask to stand down");
    $("standdown").setAttribute("aria-pressed", String(this.asks()));
    show("refuse", Boolean(may && k === "safety"));
    put("refuse", this.objects() ? "allow resume" : "refuse resume");
    show("tap", Boolean(may && k === "listener"));
    put("tap", "tap on each accent" + (this.taps ? ": " + this.taps : ""));
  }

  // cueTime says when a cue comes, or why not.
  cueTime(c) {
    if (this.link.view.lost) return "not known";
    if (c.down) return "down";
    if (this.wasCut()) return "loaded";
    return toGo(this.link.until(c.lit));
  }

  drawCues() {
    const v = this.link.view, list = v.cues.list.filter((c) => !c.fired).slice(0, 6);
    show("coming", Boolean(v.welcome && this.kind() !== "listener"));
    put("left", this.wasCut() ? this.cutWords() : count(v.cues.left, "cue") + " to come");
    rows($("cues"), list, (c) => c.cue, (c, li) => put(li, this.cueTime(c) + ", cue " + c.cue + this.what(c)));
  }

  // drawPast lists the cues that were commanded, each until it is told of. The list grows
  // at its end, and loses nothing while a hand is near: nothing moves under it.
  drawPast() {
    for (const c of this.link.view.cues.list) {
      if (c.fired && !c.down && !this.past.has(c.cue)) this.past.set(c.cue, { ...c, told: "" });
    }
    const calm = own() - this.touched > 2e9;
    for (const [id, c] of this.past) {
      if (calm && ((c.told && own() - c.at > 3e9) || this.past.size > 12)) this.past.delete(id);
    }
    show("gone", this.past.size > 0 && this.kind() !== "listener");
    rows($("past"), [...this.past.values()], (c) => c.cue, (c, li) => this.drawTold(c, li));
  }

  drawTold(c, li) {
    if (!li.firstChild) {
      const text = document.createElement("p"), pair = document.createElement("div");
      pair.className = "pair";
      for (const [deed, word] of [["seen", "seen"], ["did-not-go", "did not go"]]) {
        const b = document.createElement("button");
        b.type = "button";
        b.dataset.cue = c.cue;
        b.dataset.deed = deed;
        b.textContent = word;
        b.setAttribute("aria-label", "cue " + c.cue + ": " + word);
        pair.append(b);
      }
      li.append(text, pair);
    }
    put(li.firstChild, "cue " + c.cue + this.what(c) + (c.told === "seen" ? ": seen" : c.told ? ": did not go" : ": commanded"));
    for (const b of li.lastChild.children) b.setAttribute("aria-pressed", String(b.dataset.deed === c.told));
  }

  // tell notes what is said of a cue; refused undoes it.
  tell(id, deed) {
    const c = this.past.get(id);
    if (!c) return;
    c.told = deed;
    c.at = own();
    this.last = c;
  }

  refused(deed) {
    if (this.last && this.last.told === deed) this.last.told = "";
  }

  drawCrew() {
    const v = this.link.view, sees = this.kind() === "safety" || this.kind() === "spotter";
    show("others", Boolean(sees && v.welcome));
    if (!sees) return;
    const list = [...v.crew].sort((a, b) => urgency(b) - urgency(a));
    rows($("crew"), list, (l) => l.name, (l, li) => put(li, l.name + ", " + roleWords(l.role) + ": " + this.lineText(l), urgency(l) ? "alarm" : ""));
  }

  // lineText says how a member stands.
  lineText(l) {
    const held = Boolean(this.link.view.state && this.link.view.state.hold);
    if (l.objects) return "REFUSES A RESUME";
    if (l.asks_down) return "ASKS TO STAND DOWN" + (l.lost_ns ? ", LOST" : "");
    if (l.lost_ns) return l.struck ? "lost, struck off" : "LOST for " + clockText(l.lost_ns / 1e9);
    if (held && l.answer) return ["", "NOT TOLD yet", "no answer yet", "answered, " + ((l.after_ns || 0) / 1e9).toFixed(1) + " s", "struck off"][l.answer];
    if (l.struck) return "struck off";
    if (!l.bound_ns) return "no clock yet";
    return (l.ready ? "ready, " : /^(listener|trainer)/.test(l.role) ? "" : "not ready, ") + within(l.bound_ns).slice(7);
  }
}

// urgency is how much a line must be seen.
function urgency(l) {
  if (l.objects) return 3;
  if ((l.lost_ns && !l.struck) || l.asks_down) return 2;
  return l.answer === 1 || l.answer === 2 ? 1 : 0;
}

// rows makes the items of a list those of things, in their order, and keeps the elements
// of those that stay: what a finger is on, or a screen reader reads, is not made anew.
function rows(list, things, key, fill) {
  const old = new Map([...list.children].map((li) => [li.dataset.key, li]));
  things.forEach((thing, i) => {
    const k = String(key(thing)), li = old.get(k) || document.createElement("li");
    old.delete(k);
    li.dataset.key = k;
    fill(thing, li);
    if (list.children[i] !== li) list.insertBefore(li, list.children[i] || null);
  });
  old.forEach((li) => li.remove());
}
