package drift

import (
	"slices"
	"strings"
	"testing"
	"time"
)

// steadyTaps are taps at every accent, stretched about the start of the music,
// with a scatter of 30 ms.
func (s simulation) steadyTaps(w simShow, ratio float64) []Tap {
	var taps []Tap
	for _, at := range w.accents {
		heard := time.Duration(float64(at)*ratio + 30e6*s.NormFloat64())
		taps = append(taps, Tap{Heard: heard})
	}
	return taps
}

// The ratios are those of a table of clock mismatches: durations and the
// milliseconds a minute that the music falls behind.
func TestWrongRateIsNamed(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		ratio   float64 // of the music's duration to what it should be
		perMin  float64 // milliseconds that the cues come late, a minute
		accents int
		want    string
	}{
		{"48 as 44.1", 160.0 / 147, -5306.12, 30, "48 kHz sound played as 44.1 kHz"},
		{"44.1 as 48", 147.0 / 160, 4875, 30, "44.1 kHz sound played as 48 kHz"},
		{"1001/1000", 1.001, -60, 300, "1001/1000"},
		{"24 as 25", 24.0 / 25, 2400, 30, "24 frames a second played as 25"},
		{"23.976 as 25", 960.0 / 1001, 2457.54, 60, "23.976 frames a second played as 25"},
		{"25 as 23.976", 1001.0 / 960, -2562.5, 60, "25 frames a second played as 23.976"},
		{"200 ppm", 1.0002, -12, 400, "two sound clocks 19"},
		{"unknown", 1.0008, -48, 80, "no usual mix-up"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := simulate(4)
			w := s.sparse(c.accents)
			rep := Analyse(w.cues, s.steadyTaps(w, c.ratio), Config{})
			v := rep.Verdict
			if v.Code != RateWrong || !strings.Contains(v.Text, c.want) || v.Nudge != 0 {
				t.Errorf("verdict %s, %q, want %s, %q", v.Code, v.Text, RateWrong, c.want)
			}
			// 5 % of the figure or 2 ms, whichever is more.
			if d := rep.Rate.PerMinute() - c.perMin; max(d, -d) > max(2, 0.05*max(c.perMin, -c.perMin)) {
				t.Errorf("grows by %.2f ms a minute, want %.2f", rep.Rate.PerMinute(), c.perMin)
			}
		})
	}
}

// A rate that no table has, over long enough, fits no shift and no known rate.
func TestFarWrongRateDoesNotFit(t *testing.T) {
	t.Parallel()
	s := simulate(4)
	w := s.sparse(60)
	v := Analyse(w.cues, s.steadyTaps(w, 1.012), Config{}).Verdict
	if v.Code != NoFit || !strings.Contains(v.Text, "at the right speed?") {
		t.Errorf("verdict %s, %q", v.Code, v.Text)
	}
}

func TestOneLateLaneIsTold(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name       string
		show, lane time.Duration
		text       string
	}{
		{"late alone", 0, 300 * time.Millisecond,
			"Quay 0.3 s late: look at its prefires; the rest is on the music"},
		{"early alone", 0, -600 * time.Millisecond,
			"Quay 0.6 s early: look at its prefires; the rest is on the music"},
		{"show late too", 200 * time.Millisecond, 400 * time.Millisecond,
			"suggest EARLIER 0.2 s for the show; Quay 0.4 s late beyond that: look at its prefires"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := simulate(7)
			w := s.sparse(32)
			cues := late(w.cues, c.show)
			for i := range cues {
				if cues[i].Lane == "Quay" {
					cues[i].At += c.lane
				}
			}
			v := Analyse(cues, s.steadyTaps(w, 1), Config{}).Verdict
			if v.Code != LaneApart || v.Lane != "Quay" || v.Text != c.text {
				t.Errorf("verdict %s, lane %q, %q\nwant %q", v.Code, v.Lane, v.Text, c.text)
			}
		})
	}
}

// at returns times, given in milliseconds.
func at(ms ...int) []time.Duration {
	var out []time.Duration
	for _, m := range ms {
		out = append(out, time.Duration(m)*time.Millisecond)
	}
	return out
}

// slowShow has cues at uneven seconds, one lane; the taps are off them by the
// milliseconds given, positive for taps before the cue: cues late.
func slowShow(off ...int) (cues []Effect, taps []Tap) {
	cueAt := at(10000, 13700, 18100, 21300, 26000, 28900, 33300, 38000, 41500, 46700, 50100, 53900)
	for i, at := range cueAt {
		cues = append(cues, Effect{At: at, Lane: "Quay"})
		if i < len(off) {
			taps = append(taps, Tap{Heard: at - time.Duration(off[i])*time.Millisecond})
		}
	}
	return cues, taps
}

func TestVerdictWords(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		off  []int
		code Code
		text string
	}{
		{"no tap", nil, TooFew, "too few taps: 6 more"},
		{"four taps", []int{300, 310, 290, 300}, TooFew, "too few taps: 2 more"},
		{"late", []int{300, 330, 270, 310, 290, 300, 320, 280, 300, 310}, Nudge,
			"suggest EARLIER 0.3 s: the cues are 0.30 s late (10 taps, between "},
		{"early", []int{-500, -530, -470, -510, -490, -500, -520, -480}, Nudge,
			"suggest LATER 0.5 s: the cues are 0.50 s early (8 taps, between "},
		{"early, but few notice", []int{-100, -130, -70, -110, -90, -100, -120, -80}, Nudge, "few would notice"},
		{"in place", []int{0, 30, -30, 10, -10, 0, 20, -20}, InPlace, "no nudge: the cues are on the music"},
		{"spread", []int{-100, 190, 170, -40, 160, -60, 120, 80}, InSpread,
			"no nudge: the spread is larger than the shift (8 taps, between "},
	} {
		t.Run(c.name, func(t *testing.T) {
			cues, taps := slowShow(c.off...)
			v := Analyse(cues, taps, Config{}).Verdict
			if v.Code != c.code || !strings.Contains(v.Text, c.text) {
				t.Errorf("verdict %s, %q, want %s, %q", v.Code, v.Text, c.code, c.text)
			}
		})
	}
}

// A chase that repeats every 0.4 s fits as well one step on.
func TestPeriodicListIsAmbiguous(t *testing.T) {
	t.Parallel()
	var cues []Effect
	var taps []Tap
	for i := range 60 {
		at := 10*time.Second + time.Duration(i)*400*time.Millisecond
		cues = append(cues, Effect{At: at})
		if i >= 20 && i < 32 {
			taps = append(taps, Tap{Heard: at - 200*time.Millisecond + time.Duration(i%3-1)*20*time.Millisecond})
		}
	}
	v := Analyse(cues, taps, Config{}).Verdict
	if v.Code != Ambiguous || v.Nudge.Abs() != 200*time.Millisecond {
		t.Fatalf("verdict %s, nudge %v, %q", v.Code, v.Nudge, v.Text)
	}
	if v.Others[0] != -v.Nudge {
		t.Errorf("others %v, want the same step the other way first", v.Others)
	}
}

func TestToStep(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ in, want time.Duration }{
		{0, 0}, {49, 0}, {50, 0}, {51, 100}, {149, 100}, {150, 100}, {151, 200}, {-50, 0}, {-51, -100}, {-250, -200},
	} {
		if got := toStep(c.in * time.Millisecond); got != c.want*time.Millisecond {
			t.Errorf("toStep(%d ms) = %v, want %d ms", c.in, got, c.want)
		}
	}
}

// ITU-R BT.1359-1: detectability +45 ms (sound early) to -125 ms (sound late).
// Sound early is a cue late.
func TestNoticed(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		ms   int
		want bool
	}{{45, false}, {46, true}, {-125, false}, {-126, true}} {
		if got := Noticed(time.Duration(c.ms) * time.Millisecond); got != c.want {
			t.Errorf("Noticed(%d ms) = %v", c.ms, got)
		}
	}
}

// TestLaneFigureIsItsOwn: a lane whose taps another lane explains as well has no
// figure of its own, nor has one with a stray tap or two.
func TestLaneFigureIsItsOwn(t *testing.T) {
	t.Parallel()
	cues, taps := slowShow(10, -20, 30, 0, 20, -10, 0, 10)
	for i, c := range slices.Clone(cues) {
		switch {
		case i < 8 && i%2 == 0: // always with Quay
			cues = append(cues, Effect{At: c.At, Lane: "Mole"})
		case i == 1, i == 3:
			cues[i].Lane = "Slip"
		}
	}
	sure := map[string]bool{}
	for _, g := range Analyse(cues, taps, Config{}).Lanes {
		sure[g.Name] = g.Sure()
	}
	if len(sure) != 3 || sure["Mole"] || sure["Slip"] || sure["Quay"] {
		t.Errorf("with all shared: %v", sure)
	}
	cues, taps = slowShow(10, -20, 30, 0, 20, -10, 0, 10)
	cues[1].Lane = "Slip"
	for _, g := range Analyse(cues, taps, Config{}).Lanes {
		if g.Sure() != (g.Name == "Quay") {
			t.Errorf("%s: sure %t with %d taps, %d alone", g.Name, g.Sure(), g.Estimate.N, g.Alone)
		}
	}
}
