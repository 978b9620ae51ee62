package retime

import (
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/drift"
)

// tapped makes the drift of a list whose music wants every cue at(cue).
func tapped(s *show.Show, at func(show.Cue) time.Duration) drift.Report {
	var cues []drift.Target
	var taps []drift.Tap
	for i, c := range s.Cues {
		cues = append(cues, drift.Target{At: c.EffectAt, Lane: c.Position})
		wobble := ms(int64(i*7%5-2) * 8) // -16..16 ms, mean 0
		taps = append(taps, drift.Tap{Heard: at(c) + wobble})
	}
	return drift.Analyse(cues, taps, drift.Config{})
}

// uneven is a list whose cues stand at uneven times, as music has them.
func uneven() *show.Show {
	s := list(24)
	at := 5 * time.Second
	for i := range s.Cues {
		s.Cues[i].EffectAt = at
		at += ms(int64(1700 + (i*i*311)%2300))
	}
	return s
}

// TestFromDrift plants an error, taps along with the music, and applies what
// the taps say: the cues must end up on the music.
func TestFromDrift(t *testing.T) {
	tests := []struct {
		name   string
		within Spec
		at     func(show.Cue) time.Duration
	}{
		{"all late", Spec{}, func(c show.Cue) time.Duration { return c.EffectAt - ms(310) }},
		{"all early", Spec{}, func(c show.Cue) time.Duration { return c.EffectAt + ms(220) }},
		{"later and later", Spec{}, func(c show.Cue) time.Duration { return c.EffectAt - ms(100) - c.EffectAt/100 }},
		{"one position late", Spec{Position: "Left"}, func(c show.Cue) time.Duration {
			if c.Position == "Left" {
				return c.EffectAt - ms(300)
			}
			return c.EffectAt
		}},
		{"one position apart", Spec{}, func(c show.Cue) time.Duration {
			if c.Position == "Left" {
				return c.EffectAt - ms(600)
			}
			return c.EffectAt - ms(200)
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := uneven()
			want := map[string]time.Duration{}
			for _, c := range s.Cues {
				want[c.ID] = tt.at(c)
			}
			rep := tapped(s, tt.at)
			specs, err := FromDrift(rep, tt.within)
			if err != nil {
				t.Fatalf("%v (verdict: %s)", err, rep.Verdict.Text)
			}
			for _, c := range Apply(s, 10*minute, specs...).Cues {
				if off := (c.EffectAt - want[c.ID]).Abs(); off > ms(20) {
					t.Errorf("cue %s is %s off the music after %+v", c.ID, off, specs)
				}
			}
		})
	}
}

func TestFromDriftRefuses(t *testing.T) {
	s := uneven()
	inPlace := tapped(s, func(c show.Cue) time.Duration { return c.EffectAt })
	short := *s
	short.Cues = s.Cues[:4]
	few := tapped(&short, func(c show.Cue) time.Duration { return c.EffectAt - ms(300) })
	tests := []struct {
		name   string
		rep    drift.Report
		within Spec
		want   string
	}{
		{"in place", inPlace, Spec{}, "the taps give no change to make: no nudge"},
		{"few", few, Spec{}, "the taps give no change to make: too few taps"},
		{"no such position", inPlace, Spec{Position: "Nowhere"}, "no tap belongs to a cue of Nowhere"},
		{"position in place", inPlace, Spec{Position: "Left"}, "the taps give no change to make"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			specs, err := FromDrift(tt.rep, tt.within)
			if err == nil || !strings.HasPrefix(err.Error(), tt.want) {
				t.Errorf("got %v, %v; want %q", specs, err, tt.want)
			}
		})
	}
}
