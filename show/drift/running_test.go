package drift

import (
	"reflect"
	"testing"
	"time"
)

func TestRunningIsAnalyse(t *testing.T) {
	t.Parallel()
	s := simulate(3)
	w := s.dense(16)
	taps := s.taps(w, 12, 0)
	r := NewRunning(w.cues, Config{})
	for i, tap := range taps {
		got := r.Tap(tap)
		if want := Analyse(w.cues, taps[:i+1], Config{}); !reflect.DeepEqual(got.Verdict, want.Verdict) || got.Show != want.Show {
			t.Fatalf("after %d taps %+v, want %+v", i+1, got.Verdict, want.Verdict)
		}
	}
}

func TestOutcome(t *testing.T) {
	t.Parallel()
	spread := []int{0, 30, -30, 10, -10, 0, 20, -20}
	shifted := func(by int) (off []int) {
		for _, v := range spread {
			off = append(off, v+by)
		}
		return off
	}
	for _, c := range []struct {
		name   string
		before int
		nudge  time.Duration
		want   OutcomeCode
		text   string
	}{
		{"helped", 310, 300 * time.Millisecond, Helped, "cues were 0.31 s late, now 0.01 s late: the nudge helped"},
		{"worse", 310, -300 * time.Millisecond, Worse, "cues were 0.31 s late, now 0.61 s late: the nudge made it worse"},
		{"none", 300, 0, NoDifference, "cues were 0.30 s late, now 0.30 s late: the nudge made no clear difference"},
	} {
		t.Run(c.name, func(t *testing.T) {
			cues, taps := slowShow(shifted(c.before)...)
			r := NewRunning(cues, Config{})
			for _, tap := range taps {
				r.Tap(tap)
			}
			if o := r.Outcome(); o.Code != NoNudgeYet {
				t.Fatalf("outcome %+v before a nudge", o)
			}
			r.Nudged(late(cues, -c.nudge))
			if o := r.Outcome(); o.Code != TooSoon || o.Text != "too few taps since the nudge: 6 more" {
				t.Fatalf("outcome %+v right after the nudge", o)
			}
			for _, tap := range taps {
				r.Tap(tap)
			}
			if o := r.Outcome(); o.Code != c.want || o.Text != c.text {
				t.Errorf("outcome %s, %q, want %s, %q", o.Code, o.Text, c.want, c.text)
			}
		})
	}
}

func BenchmarkTap(b *testing.B) {
	for _, c := range []struct {
		name          string
		accents, taps int
	}{{"12taps", 16, 12}, {"300taps", 400, 300}} {
		b.Run(c.name, func(b *testing.B) {
			s := simulate(5)
			w := s.dense(c.accents)
			taps := s.taps(w, c.taps, 0)
			r := NewRunning(w.cues, Config{})
			for _, tap := range taps {
				r.now.add(tap)
			}
			b.ReportMetric(float64(len(w.cues)), "cues")
			for b.Loop() {
				r.Report()
			}
		})
		b.Run(c.name+"/add", func(b *testing.B) {
			s := simulate(5)
			w := s.dense(c.accents)
			r := NewRunning(w.cues, Config{})
			tap := Tap{Heard: w.accents[len(w.accents)/2]}
			for b.Loop() {
				r.now.search.add(tap.Heard.Seconds(), tap)
			}
		})
	}
}
