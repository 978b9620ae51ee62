package drill

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/testdata"

	"pgregory.net/rapid"
)

const milli = time.Millisecond

// drawn is a drill with something of everything that is drawn.
func drawn() *Drill {
	return &Drill{
		Plants: []Plant{{Late: []time.Duration{-300 * milli, -200 * milli, 200 * milli, 300 * milli}, Chance: 0.5}},
		Steps: []Step{
			{Name: "a", When: Trigger{From: 30_000 * milli, To: 40_000 * milli}, Chance: 1},
			{Name: "b", When: Trigger{After: "hold", From: 8_000 * milli, To: 15_000 * milli}, Chance: 0.5},
		},
	}
}

// TestDraw holds the draws against an implementation of the generator of its
// own: PCG-DXSM with the 128-bit multiplier and increment of math/rand/v2's
// documentation, in Python's whole numbers, without this package or Go.
func TestDraw(t *testing.T) {
	tests := []struct {
		seed  uint64
		late  time.Duration // 0: not there
		at    time.Duration
		waits time.Duration // 0: does not come
	}{
		{0, 0, 32358 * milli, 0},
		{1, -200 * milli, 33743 * milli, 12646 * milli},
		{2, 200 * milli, 30751 * milli, 0},
		{3, 300 * milli, 38364 * milli, 0},
		{12345, 0, 33295 * milli, 10606 * milli},
		{math.MaxUint64, 300 * milli, 31166 * milli, 0},
	}
	for _, tt := range tests {
		x := drawn().Draw(tt.seed)
		var late, waits time.Duration
		for _, p := range x.Plants {
			late = p.Late[0]
		}
		for _, s := range x.Steps[1:] {
			waits = s.When.From
		}
		if at := x.Steps[0].When.From; late != tt.late || at != tt.at || waits != tt.waits {
			t.Errorf("seed %d: late %v at %v waits %v, want %v %v %v", tt.seed, late, at, waits, tt.late, tt.at, tt.waits)
		}
	}
}

func TestDrawIsSettled(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := &Drill{}
		times := rapid.SliceOfN(rapid.Map(rapid.IntRange(-10_000, 10_000), func(n int) time.Duration { return time.Duration(n) * milli }), 0, 4)
		for range rapid.IntRange(0, 4).Draw(t, "plants") {
			d.Plants = append(d.Plants, Plant{Late: times.Draw(t, "late"), Grow: times.Draw(t, "grow"),
				Chance: rapid.SampledFrom([]float64{0.2, 0.5, 1}).Draw(t, "chance")})
		}
		for i := range rapid.IntRange(0, 6).Draw(t, "steps") {
			from := time.Duration(rapid.IntRange(0, 100_000).Draw(t, "from")) * milli
			d.Steps = append(d.Steps, Step{Name: fmt.Sprint(i), Chance: rapid.SampledFrom([]float64{0.2, 0.5, 1}).Draw(t, "chance"),
				When: Trigger{After: rapid.SampledFrom([]string{"", "hold", "0", "1", "2"}[:min(5, 2+i)]).Draw(t, "after"),
					From: from, To: from + time.Duration(rapid.IntRange(0, 9_000).Draw(t, "span"))*milli}})
		}
		seed := rapid.Uint64().Draw(t, "seed")
		x := d.Draw(seed)
		if !reflect.DeepEqual(x, d.Draw(seed)) {
			t.Fatal("the same seed gives another exercise")
		}
		come := map[string]bool{"": true, "hold": true}
		for _, s := range x.Steps {
			var n int
			fmt.Sscan(s.Name, &n)
			if was := d.Steps[n].When; s.When.From < was.From || s.When.From > was.To || s.When.To != s.When.From || s.When.After != was.After {
				t.Errorf("step %s drawn at %+v from %+v", s.Name, s.When, was)
			}
			if !come[s.When.After] { // here what a step waits for stands before it
				t.Errorf("step %s waits for %q, which does not come", s.Name, s.When.After)
			}
			come[s.Name] = true
		}
		for i, s := range d.Steps {
			if s.Chance == 1 && come[s.When.After] && !come[s.Name] {
				t.Errorf("step %d does not come", i)
			}
		}
		for _, p := range x.Plants {
			if len(p.Late) > 1 || len(p.Grow) > 1 || p.Chance != 1 {
				t.Errorf("the plant is not settled: %+v", p)
			}
		}
	})
}

// TestDrawChances holds 4,000 draws against the chances: six standard
// deviations of a binomial count are allowed.
func TestDrawChances(t *testing.T) {
	const n = 4000
	late := map[time.Duration]int{}
	var there, comes int
	var sum time.Duration
	for seed := range uint64(n) {
		x := drawn().Draw(seed)
		there += len(x.Plants)
		comes += len(x.Steps) - 1
		sum += x.Steps[0].When.From
		for _, p := range x.Plants {
			late[p.Late[0]]++
		}
	}
	near := func(what string, got int, p float64) {
		if want, sd := n*p, math.Sqrt(n*p*(1-p)); math.Abs(float64(got)-want) > 6*sd {
			t.Errorf("%s: %d of %d, want about %g", what, got, n, want)
		}
	}
	near("plants", there, 0.5)
	near("steps", comes, 0.5)
	for d, got := range late {
		near(d.String(), got, 0.125)
	}
	// Uniform over 10 s: standard deviation 10/sqrt(12) s.
	if mean, sd := sum.Seconds()/n, 10/math.Sqrt(12*n); len(late) != 4 || math.Abs(mean-35) > 6*sd {
		t.Errorf("mean %g s, %d kinds of late", mean, len(late))
	}
}

func TestOneChanceMovesNoOther(t *testing.T) {
	d := drawn()
	d.Plants[0].Chance, d.Steps[0].Chance = leastChance, leastChance
	for seed := range uint64(50) {
		a, b := drawn().Draw(seed), d.Draw(seed)
		if len(a.Steps) == 2 && len(b.Steps) == 1 && !reflect.DeepEqual(a.Steps[1], b.Steps[0]) {
			t.Fatalf("seed %d: %+v and %+v", seed, a.Steps[1], b.Steps[0])
		}
	}
}

// harbour is a small show: a witness and four cues.
func harbour() *show.Show {
	cue := func(id, position string, at, prefire time.Duration, line int) show.Cue {
		return show.Cue{ID: id, Position: position, EffectAt: at, Prefire: prefire, Line: line}
	}
	return &show.Show{Witness: &show.Witness{At: 5 * time.Second, Cue: "1"}, Cues: []show.Cue{
		cue("0", "Quay", 100*milli, 0, 5),
		cue("1", "Slip", 5*time.Second, 0, 2),
		cue("2", "Slip", 60*time.Second, 3*time.Second, 3),
		cue("3", "Quay", 57*time.Second, 0, 4),
		cue("4", "Quay", 120*time.Second, 0, 6),
	}}
}

func TestCues(t *testing.T) {
	plant := func(position string, late, grow time.Duration) Plant {
		p := Plant{Position: position, Late: []time.Duration{late}}
		if grow != 0 {
			p.Grow = []time.Duration{grow}
		}
		return p
	}
	tests := []struct {
		name   string
		mends  []Mend
		plants []Plant
		want   string // id@effect in ms, in firing order
		wanted [2]time.Duration
	}{
		{"none", nil, nil, "0@100 1@5000 2@60000 3@57000 4@120000", [2]time.Duration{}},
		{"whole list", nil, []Plant{plant("", 300*milli, 0)}, "0@400 1@5000 2@60300 3@57300 4@120300", [2]time.Duration{300 * milli, 300 * milli}},
		{"early, not before the music", nil, []Plant{plant("", -300*milli, 0)}, "0@0 1@5000 2@59700 3@56700 4@119700", [2]time.Duration{-300 * milli, -300 * milli}},
		{"one position", nil, []Plant{plant("Slip", 400*milli, 0)}, "0@100 1@5000 3@57000 2@60400 4@120000", [2]time.Duration{}},
		// 0.4 s a minute: 0.1 s gives 0.67 ms, 57 s 380 ms, 60 s 400 ms, 120 s 800 ms.
		{"growing", nil, []Plant{plant("", 0, 400*milli)}, "0@101 1@5000 3@57380 2@60400 4@120800", [2]time.Duration{400 * milli, 800 * milli}},
		{"growing early", nil, []Plant{plant("", 200*milli, -400*milli)}, "0@299 1@5000 2@59800 3@56820 4@119400", [2]time.Duration{-200 * milli, -600 * milli}},
		// Mended to 59.5 s, where 0.4 s a minute gives 396.67 ms.
		{"mended first", []Mend{{Position: "Slip", Late: 500 * milli}}, []Plant{plant("", 0, 400*milli)},
			"0@101 1@5000 2@59897 3@57380 4@120800", [2]time.Duration{400 * milli, 800 * milli}},
		{"two", nil, []Plant{plant("", 200*milli, 0), plant("Quay", -200*milli, 0)}, "0@100 1@5000 3@57000 2@60200 4@120000", [2]time.Duration{200 * milli, 200 * milli}},
	}
	for _, tt := range tests {
		s := harbour()
		x := &Exercise{Drill: &Drill{Mends: tt.mends}, Plants: tt.plants}
		var got []string
		for _, c := range x.Cues(s) {
			got = append(got, fmt.Sprintf("%s@%d", c.ID, c.EffectAt.Milliseconds()))
		}
		if strings.Join(got, " ") != tt.want {
			t.Errorf("%s: got %s, want %s", tt.name, strings.Join(got, " "), tt.want)
		}
		if !reflect.DeepEqual(s, harbour()) {
			t.Errorf("%s: the show itself was changed", tt.name)
		}
		if wanted := [2]time.Duration{x.Wanted(time.Minute), x.Wanted(2 * time.Minute)}; wanted != tt.wanted {
			t.Errorf("%s: wanted %v, want %v", tt.name, wanted, tt.wanted)
		}
	}
}

// TestCuesOfTheDemo holds what every planted list must keep: each cue once, in
// firing order, the witness untouched, no ignition before the music.
func TestCuesOfTheDemo(t *testing.T) {
	demo, err := show.Load(testdata.Demo())
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		seconds := func(name string) []time.Duration {
			return []time.Duration{time.Duration(rapid.IntRange(-10_000, 10_000).Draw(t, name)) * milli}
		}
		var plants []Plant
		for range rapid.IntRange(0, 3).Draw(t, "plants") {
			plants = append(plants, Plant{Position: rapid.SampledFrom([]string{"", "Slip", "Quay"}).Draw(t, "position"),
				Late: seconds("late"), Grow: seconds("grow")})
		}
		cues := (&Exercise{Drill: &Drill{}, Plants: plants}).Cues(demo)
		ids := map[string]bool{}
		for i, c := range cues {
			ids[c.ID] = true
			if c.IgniteAt() < 0 || c.EffectAt%milli != 0 {
				t.Errorf("cue %s ignites at %v for %v", c.ID, c.IgniteAt(), c.EffectAt)
			}
			if i > 0 && c.IgniteAt() < cues[i-1].IgniteAt() {
				t.Errorf("cue %s stands behind cue %s", c.ID, cues[i-1].ID)
			}
			if c.ID == demo.Witness.Cue && c.EffectAt != demo.Witness.At {
				t.Errorf("the witness was moved to %v", c.EffectAt)
			}
		}
		if len(ids) != len(demo.Cues) || len(cues) != len(demo.Cues) {
			t.Errorf("%d cues of %d ids, want %d", len(cues), len(ids), len(demo.Cues))
		}
	})
}
