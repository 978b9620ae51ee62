package crewpage_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"drylane/show/crewclock"
	"drylane/testdata/reftest"
)

// A reading is how the lead's clock stands after a sample.
type reading struct{ Took, Known, Offset, Bound, Delay float64 }

// exchanges are requests and replies over a link with delays of its own each way, with a
// lead's clock that runs fast; now and then one that cannot be true, and once a sleep.
func exchanges(seed uint64, fast float64) (list []crewclock.Sample) {
	r := rand.New(rand.NewPCG(seed, 1))
	way := func() time.Duration {
		return 200*time.Microsecond + time.Duration(r.ExpFloat64()*float64(3*time.Millisecond))
	}
	ahead := time.Duration(r.Int64N(int64(time.Hour)))
	lead := func(own time.Duration) time.Duration { return own + ahead + time.Duration(float64(own)*fast/1e6) }
	now := time.Duration(0)
	for i := range 240 {
		there := now + way()
		left := there + time.Duration(r.Int64N(int64(100*time.Microsecond)))
		s := crewclock.Sample{Sent: now, Got: lead(there), Left: lead(left), Came: left + way()}
		switch {
		case i == 150:
			ahead += 2 * time.Second // the telephone slept, and its clock with it
		case i%37 == 36:
			s.Left = s.Got - time.Millisecond
		}
		list = append(list, s)
		now = s.Came + time.Duration(r.Int64N(int64(400*time.Millisecond)))
	}
	return list
}

// readings are how the clock stands after each of them, a while later.
func readings(list []crewclock.Sample, later time.Duration) (out []reading) {
	c := crewclock.New()
	for _, s := range list {
		took := c.Add(s)
		r, ok := c.At(s.Came + later)
		out = append(out, reading{num(took), num(ok), float64(r.Offset), float64(r.Bound), float64(r.Delay)})
	}
	return out
}

func num(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// testSameClock: the page's clock says of the same samples what show/crewclock says.
func testSameClock(t *testing.T, b *reftest.Browser) {
	const later = 300 * time.Millisecond
	type trial struct {
		Samples []crewclock.Sample
		Reads   []reading
	}
	var trials []trial
	for i, fast := range []float64{0, 80, -80, 150} {
		list := exchanges(uint64(i), fast)
		trials = append(trials, trial{list, readings(list, later)})
	}
	data, err := json.Marshal(trials)
	if err != nil {
		t.Fatal(err)
	}
	tab := b.Open(t, newRig(t, false, false).page, 360, 640)
	tab.Await("new Clock(1000)")
	var found []string
	tab.Eval(fmt.Sprintf(`(() => {
		const off = [];
		for (const trial of %s) {
			const c = new Clock(1000);
			trial.Samples.forEach((s, i) => {
				const want = trial.Reads[i];
				const took = c.add({ sent: s.Sent, got: s.Got, left: s.Left, came: s.Came }), r = c.at(s.Came + %d);
				const same = Number(took) === want.Took && Number(r !== null) === want.Known &&
					(!r || [r.offset - want.Offset, r.bound - want.Bound, r.delay - want.Delay].every((d) => Math.abs(d) <= 2));
				off.push(same ? "" : i + ": " + took + " " + JSON.stringify(r) + ", wanted " + JSON.stringify(want));
			});
		}
		return off;
	})()`, data, later.Nanoseconds()), &found)
	for i, off := range found {
		if off != "" {
			t.Fatalf("trial %d: %s", i/240, off)
		}
	}
	if len(found) != 960 {
		t.Errorf("%d were compared", len(found))
	}
}
