package review

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show"
)

// Two notes lead to each beat, and what the beat begins is held: gaps are, in steps,
// 20, 5, 5, 20, 5, 5. Behind the second and the fifth a gap of 5 follows one of 5.
func TestAfterLess(t *testing.T) {
	t.Parallel()
	var accents []Accent
	for _, at := range []time.Duration{0, 400, 500, 600, 1000, 1100, 1200} {
		accents = append(accents, Accent{At: at * ms})
	}
	got := afterLess(accents)
	for _, held := range []int{0, 3} {
		for i := range got {
			if i != 0 && i != 3 && got[i] >= got[held] {
				t.Errorf("accent %d ranks %.2f, the held one %d %.2f", i, got[i], held, got[held])
			}
		}
	}
}

// A list on the beats of music that is as loud between them is told from one on the
// places between by the notes that lead to a beat.
func TestLeadingNotes(t *testing.T) {
	t.Parallel()
	for _, shift := range []time.Duration{180 * ms, -180 * ms} {
		r := rand.New(rand.NewPCG(31, 32))
		m := Music{Length: 3 * time.Minute}
		var cues []show.Cue
		for at := 5 * time.Second; at < m.Length-5*time.Second; at += 600 * ms {
			for _, part := range []time.Duration{0, 300 * ms, 450 * ms} {
				m.Accents = append(m.Accents, Accent{At: at + part, Strength: 1, Rise: 1, Loud: 1})
			}
			m.Beats = append(m.Beats, at)
			if r.IntN(3) > 0 {
				cues = append(cues, show.Cue{ID: fmt.Sprint(len(cues) + 1), Position: names[len(cues)%len(names)], EffectAt: at + shift})
			}
		}
		if v := Check(cues, m).Verdicts[0]; v.Code != Shifted || apart(v.Shift, shift, 10*ms) {
			t.Errorf("planted %v: got %s, %q", shift, v.Code, v.Text)
		}
	}
}

// onBeats is music that is as loud and as full between its beats as on them, and a list
// on its beats, moved. turn draws how much another sound begins on a beat, or between.
func onBeats(r *rand.Rand, shift time.Duration, turn func(beat bool) float64) ([]show.Cue, Music) {
	m := Music{Length: 3 * time.Minute}
	var cues []show.Cue
	for at := 5 * time.Second; at < m.Length-5*time.Second; at += 600 * ms {
		for _, part := range []time.Duration{0, 300 * ms} {
			m.Accents = append(m.Accents, Accent{At: at + part, Strength: 1, Rise: 1, Loud: 1, Turn: turn(part == 0), Bass: turn(part == 0)})
		}
		m.Beats = append(m.Beats, at)
		if r.IntN(3) > 0 {
			cues = append(cues, show.Cue{ID: fmt.Sprint(len(cues) + 1), Position: names[len(cues)%len(names)], EffectAt: at + shift})
		}
	}
	return cues, m
}

// Where chords change on the beat, a list on it is told from one between, though not
// every beat has another chord. Where they do not, that it is not in place is all that
// is told, with both places.
func TestChords(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(33, 34))
	changing := func(beat bool) float64 {
		if beat {
			return 1.5 * r.Float64()
		}
		return r.Float64()
	}
	for _, c := range []struct {
		shift time.Duration
		turn  func(bool) float64
		code  Code
		text  string
	}{
		{180 * ms, changing, Shifted, "the whole list is 0.18 s late"},
		{-180 * ms, changing, Shifted, "the whole list is 0.18 s early"},
		{0, changing, Ambiguous, "the whole list fits the music where it is"},
		{180 * ms, func(bool) float64 { return 1 }, Out, "the whole list is not in place: 0."},
		{180 * ms, func(bool) float64 { return 1 }, Out, "0.12 s early"},
		{180 * ms, func(bool) float64 { return 1 }, Out, "(half a beat from it)"},
	} {
		cues, m := onBeats(r, c.shift, c.turn)
		rep := Check(cues, m)
		if v := rep.Verdicts[0]; v.Code != c.code || !strings.Contains(v.Text, c.text) || (c.code == Out) != rep.Show.OutOfPlace() {
			t.Errorf("planted %v: got %s, %q; wanted %s, %q", c.shift, v.Code, v.Text, c.code, c.text)
		}
	}
}

// Where positions take turns, one that is late by nearly half a beat is told from one
// that is early by the rest of it: there it would fire with the others.
func TestTakingTurns(t *testing.T) {
	t.Parallel()
	for _, late := range []time.Duration{280 * ms, -280 * ms} {
		_, m := onBeats(rand.New(rand.NewPCG(35, 36)), 0, func(beat bool) float64 {
			if beat {
				return 1
			}
			return 0
		})
		var cues []show.Cue
		for i, at := range m.Beats {
			c := show.Cue{ID: fmt.Sprint(i + 1), Position: names[i%len(names)], EffectAt: at}
			if c.Position == names[0] {
				c.EffectAt += late
			}
			cues = append(cues, c)
		}
		if v := Check(cues, m).Verdicts[0]; v.Code != PositionApart || v.Position != names[0] || apart(v.Shift, late, 10*ms) {
			t.Errorf("planted %v: got %s, %q", late, v.Code, v.Text)
		}
	}
}

// In music that is the same at every beat but for how loud it is, large cues on loud
// beats tell where the list belongs: by their caliber, or by how many there are.
func TestLargeOnLoud(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		caliber func(loud float64) float64
		many    func(loud float64) int
		want    Code
	}{
		"caliber": {func(l float64) float64 { return 50 + 100*l }, func(float64) int { return 1 }, InPlace},
		"number":  {func(float64) float64 { return 0 }, func(l float64) int { return 1 + int(5*l) }, InPlace},
		"neither": {func(float64) float64 { return 75 }, func(float64) int { return 1 }, Ambiguous},
	} {
		r := rand.New(rand.NewPCG(33, 34))
		m := Music{Length: 3 * time.Minute}
		var cues []show.Cue
		for at := 5 * time.Second; at < m.Length-5*time.Second; at += 400 * ms {
			loud := r.Float64()
			m.Accents = append(m.Accents, Accent{At: at, Strength: 1, Rise: 1, Loud: loud})
			m.Beats = append(m.Beats, at)
			if r.IntN(3) == 0 {
				continue
			}
			for k := range c.many(loud) {
				cues = append(cues, show.Cue{ID: fmt.Sprint(len(cues) + 1), Position: names[k], EffectAt: at, Caliber: c.caliber(loud)})
			}
		}
		if v := Check(cues, m).Verdicts[0]; v.Code != c.want {
			t.Errorf("%s: got %s, %q", name, v.Code, v.Text)
		}
	}
}

// Spearman's correlation of 1 2 3 4 5 with 2 1 4 3 5 is 1 - 6*4/(5*24) = 0.8.
func TestLikeness(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		y    []float64
		want float64
	}{
		{[]float64{2, 1, 4, 3, 5}, 0.8},
		{[]float64{50, 40, 30, 20, 10}, -1},
		{[]float64{7, 7, 7, 7, 7}, 0},
	} {
		if got := likeness([]float64{1, 2, 3, 4, 5}, c.y); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%v: got %g, want %g", c.y, got, c.want)
		}
	}
}

// A moment is as large as its cues together; one without a caliber is as large as the
// middle one, here 100.
func TestSizes(t *testing.T) {
	t.Parallel()
	cue := func(at time.Duration, position string, caliber float64) show.Cue {
		return show.Cue{EffectAt: at, Position: position, Caliber: caliber}
	}
	r := review{Ear: Listen(Music{}), extra: map[string]time.Duration{"Slip": 300 * ms}, cues: []show.Cue{
		cue(0, "Quay", 75), cue(10*ms, "Mole", 100), cue(500*ms, "Quay", 0), cue(505*ms, "Slip", 200), cue(600*ms, "Slip", 300),
	}}
	if got, want := r.sizes([]time.Duration{0, 500 * ms}), []float64{175, 200}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// A cue before the first accent or behind the last, by more than a cue may be off.
func TestBeyond(t *testing.T) {
	t.Parallel()
	e := Listen(Music{Length: time.Minute, Accents: []Accent{{At: 10 * time.Second}, {At: 20 * time.Second}}})
	moments := []time.Duration{10 * time.Second, 15 * time.Second, 20 * time.Second}
	for _, c := range []struct {
		shift time.Duration
		want  int
	}{{0, 0}, {40 * ms, 0}, {50 * ms, 1}, {-50 * ms, 1}, {6 * time.Second, 2}} {
		if got := e.look(moments, c.shift).beyond; got != c.want {
			t.Errorf("%v: %d beyond the music, want %d", c.shift, got, c.want)
		}
	}
}
