// The link to the lead, and what is known of the run: what a Member of playback/crew is
// to the screen of drylane join. Times are nanoseconds, frames are the soundtrack's.

const lostAfter = 900e6; // nothing heard of the lead for so long: LINK LOST
const askEvery = 250, askSoon = 25; // ms between requests of the clock
const holdAgain = 100, holdFor = 10000; // ms: a HOLD is sent again until it is answered
const sayWithin = 1000; // ms
const mostFlying = 4; // things said that are under way
const silentFor = 2500; // ms after which a link that says nothing is made anew

// own is this page's clock: since it was loaded, whatever is set at the telephone.
const own = () => Math.round(performance.now() * 1e6);

class Link {
  // me is who is at this page (see start.js); news is called when something came.
  constructor(me, news) {
    this.me = me;
    this.news = news;
    this.clock = new Clock(clockStep(own));
    this.asked = 0;
    this.shows = 0; // the hold that the screen shows
    this.flying = 0;
    this.pending = null; // a HOLD that is not answered yet
    this.started = false;
    this.view = { state: null, came: -Infinity, lost: false, lostAt: 0, crew: [], cues: { left: 0, list: [] }, answers: 0 };
  }

  // start opens the link, and opens it again whenever it ends, until stop.
  start() {
    this.stop();
    this.started = true;
    this.clock.begin();
    this.asked = 0;
    this.abort = new AbortController();
    this.run(this.abort);
    this.timers = [setInterval(() => this.look(), 50), setInterval(() => this.callHold(), holdAgain)];
  }

  stop() {
    this.started = false;
    (this.timers || []).forEach(clearInterval);
    clearTimeout(this.asking);
    if (this.abort) this.abort.abort();
  }

  // away is start's contrary for a page that nobody can see: it is lost until it is seen
  // again, here as at the lead.
  away() {
    this.stop();
    if (this.view.state && !this.view.over) this.lose();
    this.view.came = -Infinity;
  }

  async run(abort) {
    for (let wait = 100; !abort.signal.aborted; wait = Math.min(2 * wait, 1000)) {
      const began = performance.now();
      try {
        const why = await this.stream(abort);
        if (why) {
          this.stop();
          this.news("refused", why);
          return;
        }
      } catch (e) {
        // the network's errors are what LINK LOST says
      }
      if (performance.now() - began > 2000) wait = 100;
      if (this.view.over || this.view.moved) return this.stop();
      await new Promise((done) => setTimeout(done, wait));
    }
  }

  // stream is the link while it is there. It returns why the lead lets nobody in.
  async stream(abort) {
    const body = { drylane_page: 1, id: this.me.id, secret: this.me.secret, code: this.me.code };
    const reply = await this.post("join", body, abort.signal);
    if (!reply.ok) {
      const why = await reply.json();
      return reply.status === 429 ? "" : why.refused;
    }
    const reader = reply.body.getReader(), text = new TextDecoder();
    this.spoke = performance.now();
    const watch = setInterval(() => performance.now() - this.spoke > silentFor && reader.cancel(), 500);
    try {
      for (let rest = ""; ; ) {
        const { done, value } = await reader.read();
        if (done || abort.signal.aborted) return "";
        this.spoke = performance.now();
        const lines = (rest + text.decode(value, { stream: true })).split("\n");
        rest = lines.pop();
        lines.forEach((line) => this.take(JSON.parse(line)));
      }
    } finally {
      clearInterval(watch);
    }
  }

  post(path, body, signal) {
    return fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body), signal,
      cache: "no-store", credentials: "omit", redirect: "error", referrerPolicy: "no-referrer" });
  }

  // say says something as a member. What takes too long is given up, and its connection
  // with it: a new one may go where the old one hangs.
  async say(what, data) {
    const abort = new AbortController(), late = setTimeout(() => abort.abort(), sayWithin);
    this.flying++;
    try {
      const reply = await this.post("say", { id: this.me.id, secret: this.me.secret, what, data }, abort.signal);
      if (!reply.ok) throw new Error((await reply.json()).refused);
    } finally {
      clearTimeout(late);
      this.flying--;
    }
  }

  // do does a deed; what comes of it is an answer.
  do(what, data = {}) {
    if (what === "hold") return this.hold();
    if (what === "acknowledge" && !data.hold) data.hold = this.shows;
    this.say(what, this.stamped(data)).catch(() => this.answer({ deed: what, refused: "LINK LOST: not sent" }));
  }

  // hold calls for a hold. It is sent until the lead has handed it on to the run; a call
  // has a number, larger than any before, also of this page before it was loaded anew.
  hold() {
    this.pending = { data: this.stamped({ call: this.me.nextCall() }), until: performance.now() + holdFor };
    this.callHold();
  }

  callHold() {
    const p = this.pending;
    if (!p) return;
    if (performance.now() > p.until) {
      this.pending = null;
      this.answer({ deed: "hold", refused: "LINK LOST: HOLD by radio or by voice" });
      return;
    }
    if (this.flying < 2 * mostFlying) this.say("hold", p.data).catch(() => {});
  }

  // stamped is a deed of now, by the lead's clock as it is known here.
  stamped(data) {
    const now = own(), r = this.clock.at(now);
    return r ? { ...data, at: now + r.offset, bound: r.bound } : data;
  }

  // ask asks for the lead's time, and says that this page is there.
  ask() {
    clearTimeout(this.asking);
    if (!this.started) return;
    this.asking = setTimeout(() => this.ask(), ++this.asked < 8 ? askSoon : askEvery);
    if (this.flying >= mostFlying) return;
    const r = this.clock.at(own());
    this.say("clock", { sent: own(), hold: this.shows, bound: r ? r.bound : 0 }).catch(() => {});
  }

  // answer notes what came of a deed.
  answer(a) {
    this.view.answer = a;
    this.view.answers++;
    this.news("answer");
  }

  // take takes a line of what the lead tells.
  take(line) {
    const v = this.view, what = Object.keys(line)[0], said = line[what], came = own();
    switch (what) {
      case "you":
        v.you = said;
        this.ask();
        this.news("you");
        break;
      case "welcome":
        v.welcome = said;
        this.news("welcome");
        break;
      case "state":
        if (v.state && said.n <= v.state.n) return;
        v.state = said;
        v.came = came;
        v.over = said.over;
        if (v.lost) this.view.lost = false;
        this.news("state");
        break;
      case "clock":
        this.clock.add({ sent: said.sent, got: said.got, left: said.left, came });
        break;
      case "answer":
        if (said.deed === "hold") {
          if (!this.pending || said.call < this.pending.data.call) return; // told before
          this.pending = null;
        }
        this.answer(said);
        break;
      case "crew":
        v.crew = said.crew || [];
        break;
      case "own":
      case "cues":
        v.cues = { left: said.left, list: said.list || [], ready: said.ready };
        break;
      case "moved":
        v.moved = true;
        this.news("moved");
    }
  }

  // look notes that nothing is heard of the lead.
  look() {
    const v = this.view;
    if (v.state && !v.lost && !v.over && own() - v.came > lostAfter) this.lose();
  }

  lose() {
    this.view.lostAt = this.heard(this.view.came);
    this.view.lost = true;
    this.news("lost");
  }

  running() {
    const v = this.view;
    return Boolean(v.state && !v.lost && !v.over && v.state.state === "running");
  }

  // heard is the frame that the lead's audience hears at a moment by the own clock.
  heard(now = own()) {
    const v = this.view, s = v.state, rate = v.welcome ? v.welcome.rate : 0;
    if (!s) return 0;
    if (v.lost) return v.lostAt;
    const r = this.clock.at(Number.isFinite(now) ? now : own());
    if (!this.running() || !r || !rate) return s.heard;
    const passed = Math.max(0, now + r.offset - s.at) * s.speed;
    const most = Math.max(s.heard, s.ahead + 0.2 * rate);
    return Math.min(s.heard + (passed / 1e9) * rate, most);
  }

  // until is how many seconds it is until a frame is heard.
  until(frame) {
    const rate = this.view.welcome ? this.view.welcome.rate : 0;
    return rate ? (frame - this.heard()) / rate : 0;
  }
}
