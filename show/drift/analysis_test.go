package drift

import (
	"math"
	"reflect"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// A person with a bias of -40 ms who taps on true accents, through an output
// that is 15 ms later than it says, leaves a right cue list with no residual.
func TestBiasAndRestAreTakenOut(t *testing.T) {
	t.Parallel()
	cues, taps := slowShow(0, 0, 0, 0, 0, 0, 0, 0)
	for i := range taps {
		taps[i].Heard += (-40 + 15) * time.Millisecond
	}
	rep := Analyse(cues, taps, Config{Bias: -40 * time.Millisecond, Rest: 15 * time.Millisecond})
	for _, p := range rep.Pairs {
		if p.Residual != 0 {
			t.Errorf("tap %d has residual %v", p.Tap, p.Residual)
		}
	}
	if len(rep.Pairs) != 8 || rep.Show.Offset.Abs() > time.Millisecond {
		t.Errorf("%d pairs, offset %v", len(rep.Pairs), rep.Show.Offset)
	}
}

func TestOrderDoesNotMatter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := simulate(rapid.Uint64().Draw(t, "seed"))
		w := s.dense(14)
		taps := s.taps(w, 10, 0)
		want := Analyse(w.cues, taps, Config{})
		order := rapid.Permutation([]int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9}).Draw(t, "order")
		mixed := make([]Tap, len(taps))
		for i, k := range order {
			mixed[i] = taps[k]
		}
		got := Analyse(w.cues, mixed, Config{})
		for i := range got.Pairs {
			got.Pairs[i].Tap = order[got.Pairs[i].Tap]
		}
		for i := range got.LooseTaps {
			got.LooseTaps[i] = order[got.LooseTaps[i]]
		}
		if !reflect.DeepEqual(got.Pairs, want.Pairs) || !slices.Equal(got.LooseTaps, want.LooseTaps) ||
			got.Show != want.Show || !reflect.DeepEqual(got.Verdict, want.Verdict) {
			t.Fatalf("in order %v: %+v\nwant %+v", order, got.Verdict, want.Verdict)
		}
	})
}

// Where every tap has a cue of its own, cues shifted by d are d later.
func TestShiftingCuesShiftsTheOffset(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := simulate(rapid.Uint64().Draw(t, "seed"))
		w := s.sparse(14)
		taps := s.steadyTaps(w, 1)
		d := time.Duration(rapid.Int64Range(-1e9, 1e9).Draw(t, "d"))
		was, is := Analyse(w.cues, taps, Config{}), Analyse(late(w.cues, d), taps, Config{})
		if len(was.Pairs) != len(taps) || len(is.Pairs) != len(taps) {
			t.Fatalf("%d and %d of %d taps paired", len(was.Pairs), len(is.Pairs), len(taps))
		}
		for i := range is.Pairs {
			if got := is.Pairs[i].Residual - was.Pairs[i].Residual; got != d {
				t.Fatalf("residual %d moved by %v, want %v", i, got, d)
			}
		}
		if got := is.Show.Offset - was.Show.Offset; (got - d).Abs() > time.Millisecond {
			t.Fatalf("offset moved by %v, want %v", got, d)
		}
	})
}

func TestPairsAreOneToOne(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := simulate(rapid.Uint64().Draw(t, "seed"))
		w := s.dense(20)
		taps := s.taps(w, 16, 0)
		rep := Analyse(w.cues, taps, Config{})
		seen := map[int]int{}
		for _, i := range rep.LooseTaps {
			seen[i]++
		}
		cueSeen := map[int]bool{}
		for _, p := range rep.Pairs {
			seen[p.Tap]++
			for _, c := range p.Cues {
				if cueSeen[c] {
					t.Fatalf("cue %d has two taps", c)
				}
				cueSeen[c] = true
			}
			if want := w.cues[p.Cues[0]].At - taps[p.Tap].Heard; p.Residual != want {
				t.Fatalf("residual %v, want %v", p.Residual, want)
			}
		}
		for _, c := range rep.LooseCues {
			if cueSeen[c] {
				t.Fatalf("cue %d is both paired and loose", c)
			}
		}
		for i := range taps {
			if seen[i] != 1 {
				t.Fatalf("tap %d is told %d times", i, seen[i])
			}
		}
	})
}

// Whatever is given, a report comes back. Within a few days its intervals hold
// their offsets.
func TestAnyInput(t *testing.T) {
	t.Parallel()
	near, far := rapid.Int64Range(0, 60e9), rapid.Int64Range(-300e12, 300e12)
	absurd := rapid.SampledFrom([]int64{math.MaxInt64, math.MinInt64})
	lane := rapid.SampledFrom([]string{"", "Quay", "Roof"})
	rapid.Check(t, func(t *rapid.T) {
		moment, sane := rapid.OneOf(near, far), rapid.Bool().Draw(t, "sane")
		if !sane {
			moment = rapid.OneOf(near, absurd)
		}
		var cues []Effect
		for range rapid.IntRange(0, 30).Draw(t, "cues") {
			weight := rapid.SampledFrom([]float64{0, 1, 3, -1, 1e300, 1e-300, math.NaN(), math.Inf(1)}).Draw(t, "weight")
			cues = append(cues, Effect{time.Duration(moment.Draw(t, "at")), lane.Draw(t, "lane"), weight})
		}
		var taps []Tap
		for range rapid.IntRange(0, 12).Draw(t, "taps") {
			taps = append(taps, Tap{time.Duration(moment.Draw(t, "heard")), lane.Draw(t, "lane")})
		}
		rep := Analyse(cues, taps, Config{})
		if e := rep.Show; sane && (e.Low > e.Offset || e.Offset > e.High) {
			t.Fatalf("offset %v outside %v..%v", e.Offset, e.Low, e.High)
		}
		if rep.Verdict.Code == "" || rep.Verdict.Text == "" {
			t.Fatalf("no verdict: %+v", rep.Verdict)
		}
	})
}

// A tap that names a lane belongs to that lane, however near another is.
func TestTapOfALane(t *testing.T) {
	t.Parallel()
	var cues []Effect
	var taps []Tap
	for _, at := range at(10000, 13700, 18100, 21300, 26000, 28900, 33300, 38000) {
		cues = append(cues, Effect{At: at, Lane: "Quay"}, Effect{At: at + 200*time.Millisecond, Lane: "Roof"})
		taps = append(taps, Tap{Heard: at, Lane: "Roof"})
	}
	rep := Analyse(cues, taps, Config{})
	if len(rep.Lanes) != 1 || rep.Lanes[0].Name != "Roof" || rep.Verdict.Nudge != 200*time.Millisecond {
		t.Errorf("lanes %+v, verdict %+v", rep.Lanes, rep.Verdict)
	}
}

func TestSections(t *testing.T) {
	t.Parallel()
	var cues []Effect
	var taps []Tap
	for i, at := range at(10000, 13700, 18100, 21300, 26000, 28900, 60000, 63700, 68100, 71300, 76000, 78900) {
		cues = append(cues, Effect{At: at})
		off := 100 * time.Millisecond
		if i >= 6 {
			off = 180 * time.Millisecond
		}
		taps = append(taps, Tap{Heard: at - off + time.Duration(i%3-1)*10*time.Millisecond})
	}
	for _, cfg := range []Config{{}, {Sections: at(45000)}} {
		rep := Analyse(cues, taps, cfg)
		if len(rep.Sections) != 2 {
			t.Fatalf("sections %+v", rep.Sections)
		}
		for i, want := range []time.Duration{100, 180} {
			g := rep.Sections[i]
			if (g.Estimate.Offset-want*time.Millisecond).Abs() > 10*time.Millisecond || g.Estimate.N != 6 {
				t.Errorf("%s: %+v, want %d ms", g.Name, g.Estimate, want)
			}
		}
		if rep.Sections[1].Name != "1:00 to 1:19" {
			t.Errorf("name %q", rep.Sections[1].Name)
		}
	}
}
