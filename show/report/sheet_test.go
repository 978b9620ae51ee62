package report

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/drift"
	"drylane/show/session"
	"drylane/show/timebase"

	"pgregory.net/rapid"
)

func near(got time.Duration, want, within int64) bool {
	return math.Abs(float64(got-ms(want))) <= float64(ms(within))
}

// TestPlantedDrift plants a lateness of the cue list and finds it again.
func TestPlantedDrift(t *testing.T) {
	late := func(by int64) func(show.Cue) time.Duration {
		return func(show.Cue) time.Duration { return ms(by) }
	}
	tests := []struct {
		name  string
		late  func(show.Cue) time.Duration
		who   Person
		code  drift.Code
		nudge int64
		off   int64
	}{
		{"late", late(310), Person{}, drift.Nudge, 300, 310},
		{"early", late(-190), Person{}, drift.Nudge, -200, -190},
		{"in place", late(0), Person{}, drift.InPlace, 0, 0},
		// Who taps 60 ms early hears the accent 60 ms after the tap: the cue is
		// less late by as much.
		{"bias", late(310), Person{Name: "Robin", Bias: -60 * time.Millisecond, Calibrated: true}, drift.Nudge, 300, 250},
		{"growing", func(c show.Cue) time.Duration { return c.EffectAt / 50 }, Person{}, drift.RateWrong, 0, 440},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := NewSheet("x", tapped(t, tt.late).run(), tt.who)
			v := s.List.Verdict
			if v.Code != tt.code || tt.name != "bias" && v.Nudge != ms(tt.nudge) {
				t.Errorf("%s, nudge %s: %s; want %s, %d ms", v.Code, v.Nudge, v.Text, tt.code, tt.nudge)
			}
			if tt.code != drift.RateWrong && !near(s.List.Show.Offset, tt.off, 15) {
				t.Errorf("%s late, want %d ms", s.List.Show.Offset, tt.off)
			}
			if tt.code == drift.RateWrong && math.Abs(s.List.Rate.Slope-0.02) > 0.003 {
				t.Errorf("slope %g, want 0.02", s.List.Rate.Slope)
			}
			for _, p := range s.Points() {
				if p.Outcome != Counted || p.Cue == "" || len(p.Lanes) != 1 {
					t.Errorf("tap at %d: %+v", p.Heard, p)
				}
			}
		})
	}
}

// TestErasJoin: the drift of the list is one, whatever the nudge was when it
// was tapped; as run, it is gone once the nudge was right.
func TestErasJoin(t *testing.T) {
	cues := every(20, 3000, 0, 0)
	when := int64(3000)
	for i := range cues {
		cues[i].EffectAt = ms(when)
		when += 1900 + int64(i*i*311)%1700
	}
	r := newRig(t, cues)
	r.must(show.Arm, 0)
	r.must(show.Start, 0)
	for i, c := range cues {
		if i == 10 {
			r.do(show.Command{Action: show.Nudge, Step: ms(300)}, r.tr.Heard()+at(200))
		}
		r.tap(timebase.FrameAt(c.EffectAt-ms(300)+ms(int64(i*7%5-2)*10), rate))
	}
	r.play(at(60_000))
	s := NewSheet("x", r.run(), Person{})
	if !near(s.List.Show.Offset, 300, 15) || s.List.Show.N < 18 || s.List.Verdict.Nudge != ms(300) {
		t.Errorf("list: %+v, %s", s.List.Show, s.List.Verdict.Text)
	}
	if len(s.Eras) != 2 || s.Eras[0].Taps != 10 || s.Eras[1].Nudge != ms(300) {
		t.Fatalf("eras %+v", s.Eras)
	}
	if a, b := s.Eras[0].Drift, s.Eras[1].Drift; !near(a.Show.Offset, 300, 20) || !near(b.Show.Offset, 0, 20) || b.Verdict.Code != drift.InPlace {
		t.Errorf("as run: %s late, then %s late", a.Show.Offset, b.Show.Offset)
	}
	if rep := s.Within(cues[10].EffectAt-time.Second, 0); rep.Show.N > 10 || !near(rep.Show.Offset, 300, 20) {
		t.Errorf("second half alone: %+v", rep.Show)
	}
}

// TestNoMedianOfNoFit: of taps that do not fit the list no median is told.
func TestNoMedianOfNoFit(t *testing.T) {
	fits := EraSummary{Nudge: "NO NUDGE", Taps: 9, Counted: 8, Late: 0.3, Code: string(drift.Nudge), Verdict: "late"}
	odd := EraSummary{Nudge: "EARLIER 0.2 s", Taps: 53, Counted: 32, Late: 1.4, Code: string(drift.NoFit), Verdict: "no fit"}
	got := Summary{Taps: 62, Drift: []EraSummary{fits, odd}}.Text()
	if !strings.Contains(got, "Taps with NO NUDGE: 9: median 0.30 s late") || !strings.Contains(got, "Taps with EARLIER 0.2 s: 53.\n  no fit") {
		t.Error(got)
	}
}

// TestStoodDownIsNotMeasured: taps at cues that were stood down meet none.
func TestStoodDownIsNotMeasured(t *testing.T) {
	r := newRig(t, every(12, 4000, 4000, 0))
	r.must(show.Arm, 0)
	r.do(show.Command{Action: show.StandDown, Group: show.Group{By: "position", Name: "Left"}}, 0)
	r.must(show.Start, 0)
	for i := range 12 {
		r.tap(at(int64(4000 + 4000*i)))
	}
	s := NewSheet("x", r.run(), Person{})
	if len(s.Listed) != 6 {
		t.Errorf("%d cues measured, want the 6 of Right", len(s.Listed))
	}
	for _, p := range s.Points() {
		if p.Outcome != Loose && (len(p.Lanes) != 1 || p.Lanes[0] != "Right") {
			t.Errorf("a tap was set against %v", p.Lanes)
		}
	}
}

// TestFiguresAreJSON: whatever was tapped, the numbers can be written as JSON
// and count every tap once.
func TestFiguresAreJSON(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := newRig(t, every(8, 3000, 2100, 0))
		r.must(show.Arm, 0)
		r.must(show.Start, 0)
		taps := rapid.SliceOfN(rapid.Int64Range(0, 3000), 0, 12).Draw(rt, "gaps")
		now := int64(1000)
		for _, gap := range taps {
			now += gap
			r.tap(at(now))
		}
		s := NewSheet("x", r.run(), Person{})
		text, err := json.Marshal(s.Figures())
		if err != nil {
			rt.Fatal(err)
		}
		var back Figures
		if err := json.Unmarshal(text, &back); err != nil {
			rt.Fatal(err)
		}
		if len(back.Taps) != len(taps) {
			rt.Fatalf("%d taps of %d", len(back.Taps), len(taps))
		}
		var out bytes.Buffer
		if err := errors.Join(s.WriteDrift(&out), s.WriteTaps(&out, false)); err != nil || strings.Contains(out.String(), "NaN") {
			rt.Fatalf("%v: %s", err, out.String())
		}
	})
}

func TestWords(t *testing.T) {
	tests := []struct {
		low, high int64
		want      string
	}{
		{280, 340, "0.28 and 0.34 s late"},
		{-340, -280, "0.34 and 0.28 s early"},
		{-30, 10, "0.03 s early and 0.01 s late"},
		{0, 40, "0.00 s early and 0.04 s late"},
	}
	for _, tt := range tests {
		if got := betweenWords(ms(tt.low), ms(tt.high)); got != tt.want {
			t.Errorf("%d to %d ms: %q, want %q", tt.low, tt.high, got, tt.want)
		}
	}
	people := []struct {
		who  Person
		want string
	}{
		{Person{}, "taps without a name, not calibrated: taken as they are (--person NAME says whose they are)"},
		{Person{Name: "Robin"}, "taps of Robin, not calibrated: taken as they are"},
		{Person{Name: "Robin", Bias: -42 * time.Millisecond, Calibrated: true}, "taps of Robin, calibrated: 42 ms early is taken off each"},
	}
	for _, tt := range people {
		s := &Sheet{Person: tt.who}
		if got := s.PersonWords(); got != tt.want {
			t.Errorf("got %q, want %q", got, tt.want)
		}
	}
}

// TestReadsLikeThis holds the text of a drift against what a person reads.
func TestReadsLikeThis(t *testing.T) {
	r := tapped(t, func(c show.Cue) time.Duration { return ms(310) })
	s := NewSheet("night.jsonl", r.run(), Person{Name: "Robin", Bias: ms(-10), Calibrated: true})
	var out bytes.Buffer
	if err := errors.Join(s.WriteDrift(&out), s.WriteTaps(&out, true)); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"night.jsonl: Quay Night, played to the end at 1:00.", "taps of Robin, calibrated: 10 ms early is taken off each",
		"suggest EARLIER 0.3 s", "lane Left", "lane Right", "taps on Left", "no growth beyond chance",
	} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is not in:\n%s", want, out.String())
		}
	}
	if n := strings.Count(out.String(), "late  "); n < 20 {
		t.Errorf("%d taps are listed, want 20:\n%s", n, out.String())
	}
}

func TestNoTaps(t *testing.T) {
	r := newRig(t, every(3, 2000, 2000, 0))
	r.must(show.Arm, 0)
	r.must(show.Start, 0)
	r.play(at(5000))
	r.say(session.KindClosed, at(5000), session.Data{})
	s := NewSheet("x", r.run(), Person{})
	if got := s.Verdict(); got != "no taps: nothing says whether the cues were late or early" {
		t.Errorf("verdict %q", got)
	}
	if got := s.Run.Course(); got != "left while running at 0:05.000 of 1:00.000" {
		t.Errorf("course %q", got)
	}
}
