// The lead's clock as it is known here, from requests and replies: what show/crewclock
// does, after RFC 5905, sections 8 and 10. All times are nanoseconds, since a moment of
// each clock's own. A test compares the two on the same samples.

// clockTolerance is by how much two clocks can run apart: common practice for quartz,
// 100 parts in a million either way.
const clockTolerance = 200e-6;
const clockStages = 8; // samples that are kept
const clockStretch = 2e9; // of which the best sample is kept for the rate
const clockKept = 32; // such samples
const clockLeast = 8e9; // before that the rate is not told

const grown = (span, rate) => Math.trunc(Math.max(0, span) * rate);

class Clock {
  // precision is what reading the two clocks can be wrong by.
  constructor(precision) {
    this.precision = precision;
    this.begin();
  }

  begin() {
    this.stages = []; // the latest first
    this.points = []; // the latest last
    this.rate = { by: 0, bound: clockTolerance };
    this.last = 0;
  }

  // add takes a sample: sent and came by the own clock, got and left by the lead's. One
  // that cannot be true is left out; one of other clocks, as after a sleep, begins anew.
  add(s) {
    const trip = s.came - s.sent - (s.left - s.got);
    const fresh = 2 * this.precision + grown(s.came - s.sent, clockTolerance);
    const whole = [s.sent, s.got, s.left, s.came].every((t) => Number.isSafeInteger(t) && t >= 0);
    if (!whole || s.came < s.sent || s.left < s.got || trip < -fresh || s.came < this.last) return false;
    const delay = Math.max(0, trip);
    const half = Math.trunc(delay / 2);
    const offset = Math.trunc((s.got - s.sent + (s.left - s.came)) / 2);
    const now = this.at(s.came);
    if (now && Math.abs(offset - now.offset) > half + fresh + now.bound) this.begin();
    this.last = s.came;
    this.stages.unshift({ at: s.came, offset, delay, fresh });
    this.stages.length = Math.min(this.stages.length, clockStages);
    this.keep({ at: s.came, offset, bound: half + fresh });
    return true;
  }

  // keep keeps the best sample of each stretch, and finds the rate anew.
  keep(p) {
    const was = this.points[this.points.length - 1];
    if (was && Math.floor(was.at / clockStretch) === Math.floor(p.at / clockStretch)) {
      if (p.bound >= was.bound) return;
      this.points[this.points.length - 1] = p;
    } else {
      this.points.push(p);
      if (this.points.length > clockKept) this.points.shift();
    }
    this.rate = rateOf(this.points);
  }

  // at tells how the clocks stand at a moment by the own clock, no earlier than the
  // latest sample: the offset is wrong by bound at most. null while nothing is known.
  at(now) {
    let r = null;
    for (const s of this.stages) {
      const since = now - s.at;
      const bound = Math.trunc(s.delay / 2) + s.fresh + grown(since, this.rate.bound);
      if (!r || bound < r.bound) {
        r = { at: now, offset: s.offset + Math.trunc(since * this.rate.by), bound, rate: this.rate.by };
      }
    }
    if (r) r.delay = Math.min(...this.stages.map((s) => s.delay));
    return r;
  }
}

// rateOf is the rate between the best point of the older half and the best of the newer
// one, each within its bound.
function rateOf(points) {
  const unknown = { by: 0, bound: clockTolerance };
  if (points.length < 2) return unknown;
  const best = (list) => list.reduce((a, b) => (b.bound < a.bound ? b : a));
  const middle = Math.trunc(points.length / 2);
  const a = best(points.slice(0, middle)), b = best(points.slice(middle));
  const apart = b.at - a.at;
  if (apart < clockLeast) return unknown;
  const r = { by: (b.offset - a.offset) / apart, bound: (a.bound + b.bound) / apart };
  return r.bound >= clockTolerance || Math.abs(r.by) > clockTolerance + r.bound ? unknown : r;
}

// clockStep is by how much a clock goes on at a time, as browsers make theirs coarse on
// purpose: the smallest step of a few.
function clockStep(read) {
  let step = Infinity;
  for (let steps = 0, was = read(), until = was + 20e6; steps < 5 && was < until; ) {
    const now = read();
    if (now > was) {
      step = Math.min(step, now - was);
      steps++;
      was = now;
    }
  }
  return Number.isFinite(step) ? Math.max(1000, Math.ceil(step)) : 100e6;
}
