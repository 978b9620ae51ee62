package review

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"drylane/show"
)

const ms = time.Millisecond

var names = []string{"Mole", "Quay", "Jetty", "Slip", "Barge", "Beacon"}

// invented is music of accents at uneven times, some of them strong.
func invented(r *rand.Rand, length time.Duration) Music {
	m := Music{Length: length}
	for at := time.Second; at < length-time.Second; at += time.Duration(150+r.IntN(900)) * ms {
		m.Accents = append(m.Accents, Accent{At: at, Strength: 0.1 + r.Float64()})
	}
	for at := time.Duration(0); at < length; at += 500 * ms {
		m.Beats = append(m.Beats, at)
	}
	return m
}

// placed puts n cues on accents of the music, a fifth of them anywhere, and
// then moves each.
func placed(r *rand.Rand, m Music, n int, move func(position string, at time.Duration) time.Duration) []show.Cue {
	var out []show.Cue
	for i := range n {
		at := m.Accents[r.IntN(len(m.Accents))].At
		if r.IntN(5) == 0 {
			at = time.Duration(r.Int64N(int64(m.Length)))
		}
		p := names[i%len(names)]
		out = append(out, show.Cue{ID: fmt.Sprint(i + 1), Position: p, EffectAt: (at + move(p, at)).Round(ms)})
	}
	return out
}

func still(string, time.Duration) time.Duration { return 0 }

func (r Report) codes() map[Code]int {
	out := map[Code]int{}
	for _, v := range r.Verdicts {
		out[v.Code]++
	}
	return out
}

func apart(a, b, within time.Duration) bool { return (a - b).Abs() > within }

// Every tenth in two seconds either way is found to within 20 ms.
func TestPlantedShift(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	r := rand.New(rand.NewPCG(3, 4))
	for tenths := -20; tenths <= 20; tenths++ {
		if testing.Short() && tenths%4 != 0 {
			continue
		}
		shift := time.Duration(tenths) * 100 * ms
		m := invented(r, 3*time.Minute)
		rep := Check(placed(r, m, 180, func(string, time.Duration) time.Duration { return shift }), m)
		if !rep.Show.Found() || apart(rep.Show.Shift, shift, 20*ms) {
			t.Errorf("planted %v: found %+v", shift, rep.Show)
		}
		want := Shifted
		if tenths == 0 {
			want = InPlace
		}
		if c := rep.Verdicts[0].Code; c != want {
			t.Errorf("planted %v: got %s", shift, rep.Verdicts[0].Text)
		}
	}
}

func TestPlantedPosition(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	r := rand.New(rand.NewPCG(5, 6))
	wrong := 0
	for k := range 20 {
		shift := time.Duration(2*k-20) * 100 * ms
		if k >= 10 {
			shift += 100 * ms
		}
		m := invented(r, 3*time.Minute)
		name := names[k%len(names)]
		rep := Check(placed(r, m, 240, func(p string, _ time.Duration) time.Duration {
			if p == name {
				return shift
			}
			return 0
		}), m)
		ok := rep.codes()[InPlace] == 1 && rep.codes()[PositionApart] == 1
		for _, v := range rep.Verdicts {
			if v.Code == PositionApart {
				ok = ok && v.Position == name && !apart(v.Shift, shift, 20*ms)
			}
		}
		if !ok {
			wrong++
			t.Logf("%s %v: %v", name, shift, rep.Verdicts)
		}
	}
	if wrong > 1 {
		t.Errorf("%d of 20 not found", wrong)
	}
}

// Nothing is planted, or the cues have nothing to do with the music: fewer than
// one in twenty may be told otherwise.
func TestFalseAlarms(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(7, 8))
	runs := 40
	if testing.Short() {
		runs = 20 // at most one may be wrong
	}
	alarms, sure := 0, 0
	for range runs {
		m := invented(r, 3*time.Minute)
		for code := range Check(placed(r, m, 180, still), m).codes() {
			if code != InPlace {
				alarms++
			}
		}
		if rep := Check(placed(r, invented(r, 3*time.Minute), 180, still), m); rep.Show.Found() {
			sure++
		}
	}
	if alarms > runs/20 || sure > runs/20 {
		t.Errorf("%d false alarms and %d fits of foreign cues in %d runs", alarms, sure, runs)
	}
}

func TestRate(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(9, 10))
	for _, c := range []struct {
		perMinute, from time.Duration
	}{
		{60 * ms, 0}, {-60 * ms, 0}, // 1001/1000, a difference of film and video rates
		{12 * ms, 0}, // 200 ppm: two clocks at 100 ppm each
		{20 * ms, 3 * time.Minute},
	} {
		m := invented(r, 8*time.Minute)
		rep := Check(placed(r, m, 400, func(_ string, at time.Duration) time.Duration {
			return time.Duration(c.perMinute.Minutes() * float64(max(0, at-c.from)))
		}), m)
		if !rep.Rate.Grows || apart(rep.Rate.PerMinute(), c.perMinute, max(c.perMinute.Abs()/8, 1*ms)) || apart(rep.Rate.From, c.from, 75*time.Second) {
			t.Errorf("planted %v a minute from %v: found %+v", c.perMinute, c.from, rep.Rate)
		}
		if rep.codes()[Drifts] != 1 {
			t.Errorf("planted %v a minute: %v", c.perMinute, rep.Verdicts)
		}
	}
}

func TestSection(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(11, 12))
	m := invented(r, 6*time.Minute)
	rep := Check(placed(r, m, 300, func(_ string, at time.Duration) time.Duration {
		if at > 3*time.Minute && at < 4*time.Minute {
			return 300 * ms
		}
		return 0
	}), m)
	for _, v := range rep.Verdicts {
		if v.Code == SectionApart && !apart(v.Shift, 300*ms, 20*ms) && v.To > 3*time.Minute && v.From < 4*time.Minute {
			return
		}
	}
	t.Errorf("got %v", rep.Verdicts)
}

func TestLooseCues(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(13, 14))
	m := Music{Length: 3 * time.Minute}
	for at := time.Second; at < m.Length; at += time.Second {
		if r.IntN(3) > 0 {
			m.Accents = append(m.Accents, Accent{At: at, Strength: 1})
		}
		m.Beats = append(m.Beats, at)
	}
	var cues []show.Cue
	for i, a := range m.Accents {
		c := show.Cue{ID: fmt.Sprint(i + 1), Position: "Quay", EffectAt: a.At}
		if i >= 40 && i <= 46 {
			c.EffectAt += 400 * ms
		}
		cues = append(cues, c)
	}
	rep := Check(cues, m)
	found := false
	for _, v := range rep.Verdicts {
		found = found || v.Code == Loose && strings.HasPrefix(v.Text, "cues 41 to 47 fall between beats")
	}
	if !found || rep.Verdicts[0].Code != InPlace {
		t.Errorf("got %v", rep.Verdicts)
	}
	if c := rep.Cues[42]; c.Place != NoAccent || !c.HasBeat || c.Beat != 400*ms {
		t.Errorf("got %+v", c)
	}
	if c := rep.Cues[0]; c.Place != OnAccent || c.Off != 0 || c.Beat != 0 {
		t.Errorf("got %+v", c)
	}
}

// What cannot be told is said to be so, whatever comes in.
func TestTooLittle(t *testing.T) {
	t.Parallel()
	m := invented(rand.New(rand.NewPCG(1, 1)), time.Minute)
	few := []show.Cue{{ID: "1", EffectAt: 2 * time.Second}}
	many := placed(rand.New(rand.NewPCG(1, 2)), m, 40, still)
	for name, c := range map[string]struct {
		cues  []show.Cue
		music Music
		want  Code
	}{
		"no cues":         {nil, m, TooFewCues},
		"one cue":         {few, m, TooFewCues},
		"no accents":      {many, Music{Length: time.Minute}, TooFewAccents},
		"no music":        {many, Music{}, TooFewAccents},
		"short":           {many, Music{Length: 5 * time.Second, Accents: m.Accents[:9]}, Unclear},
		"one moment":      {[]show.Cue{few[0], few[0], few[0]}, m, TooFewCues},
		"one accent only": {many, Music{Length: time.Minute, Accents: m.Accents[:1]}, TooFewAccents},
	} {
		if rep := Check(c.cues, c.music); rep.Verdicts[0].Code != c.want {
			t.Errorf("%s: got %q, want %s", name, rep.Verdicts[0].Text, c.want)
		}
	}
}

// even is music of accents at every beat, none louder than another, and a list on
// most of its beats, late by shift.
func even(r *rand.Rand, beat, shift time.Duration) ([]show.Cue, Music) {
	m := Music{Length: 3 * time.Minute}
	var cues []show.Cue
	for at := 5 * time.Second; at < m.Length-5*time.Second; at += beat {
		m.Accents = append(m.Accents, Accent{At: at, Strength: 1, Rise: 1, Loud: 1})
		m.Beats = append(m.Beats, at)
		if r.IntN(3) > 0 {
			cues = append(cues, show.Cue{ID: fmt.Sprint(len(cues) + 1), Position: names[len(cues)%len(names)], EffectAt: at + shift})
		}
	}
	return cues, m
}

// In music that is the same at every beat nothing tells one beat from the next.
func TestEvenBeat(t *testing.T) {
	t.Parallel()
	const beat = 660 * ms
	for _, c := range []struct {
		shift time.Duration
		code  Code
		told  time.Duration
		text  string
	}{
		{0, Ambiguous, 0, "the whole list fits the music where it is"},
		{2 * beat, Ambiguous, 0, ": two beats"},
		{-beat, Ambiguous, 0, ": one beat"},
		{180 * ms, Shifted, 180 * ms, "the whole list is 0.18 s late"},
		{-150 * ms, Shifted, -150 * ms, "the whole list is 0.15 s early"},
	} {
		cues, m := even(rand.New(rand.NewPCG(15, 16)), beat, c.shift)
		v := Check(cues, m).Verdicts[0]
		if v.Code != c.code || apart(v.Shift, c.told, 10*ms) || !strings.Contains(v.Text, c.text) {
			t.Errorf("planted %v: got %s, %q", c.shift, v.Code, v.Text)
		}
	}
}

// Music of the same kind at another pace is not the list's.
func TestOtherPace(t *testing.T) {
	t.Parallel()
	cues, _ := even(rand.New(rand.NewPCG(17, 18)), 660*ms, 0)
	_, m := even(rand.New(rand.NewPCG(17, 18)), 610*ms, 0)
	if v := Check(cues, m).Verdicts[0]; v.Code != Unclear {
		t.Errorf("got %s, %q", v.Code, v.Text)
	}
}

func TestInBeats(t *testing.T) {
	t.Parallel()
	_, m := even(rand.New(rand.NewPCG(1, 1)), 660*ms, 0)
	r := review{Ear: Listen(m)}
	for _, c := range []struct {
		d    time.Duration
		want string
	}{
		{100 * ms, ""}, {330 * ms, ": half a beat"}, {640 * ms, ": one beat"}, {990 * ms, ": one and a half beats"},
		{1320 * ms, ": two beats"}, {1650 * ms, ": two and a half beats"}, {12 * 660 * ms, ": 12 beats"}, {500 * ms, ""},
	} {
		if got := r.inBeats(c.d); got != c.want {
			t.Errorf("%v: got %q, want %q", c.d, got, c.want)
		}
	}
}
