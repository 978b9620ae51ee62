package retime

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"drylane/show"

	"pgregory.net/rapid"
)

const minute = time.Minute

func ms(n int64) time.Duration { return time.Duration(n) * time.Millisecond }

// list is a show with one cue every second from 5 s on, alternating between
// two positions with a module each.
func list(n int) *show.Show {
	s := &show.Show{CuesFile: "cues.csv"}
	for i := range n {
		side := [...]string{"Left", "Right"}[i%2]
		s.Cues = append(s.Cues, show.Cue{ID: fmt.Sprint(i + 1), EffectAt: time.Duration(5+i) * time.Second, Prefire: ms(500),
			Position: side, Module: side[:1], Pin: i/2 + 1, Line: i + 2})
	}
	return s
}

// TestApply has results worked out by hand.
func TestApply(t *testing.T) {
	tests := []struct {
		name  string
		specs []Spec
		want  map[string]time.Duration // effect times of cues that move
	}{
		{"all earlier", []Spec{{Shift: ms(300)}}, map[string]time.Duration{"1": ms(4700), "2": ms(5700), "3": ms(6700), "4": ms(7700)}},
		{"all later", []Spec{{Shift: -ms(25)}}, map[string]time.Duration{"1": ms(5025), "2": ms(6025), "3": ms(7025), "4": ms(8025)}},
		{"a position", []Spec{{Shift: ms(100), Position: "Right"}}, map[string]time.Duration{"2": ms(5900), "4": ms(7900)}},
		{"a section, its end not in it", []Spec{{Shift: ms(100), From: 6 * time.Second, Until: 8 * time.Second}}, map[string]time.Duration{"2": ms(5900), "3": ms(6900)}},
		{"both", []Spec{{Shift: ms(100)}, {Shift: -ms(100), Position: "Left"}}, map[string]time.Duration{"2": ms(5900), "4": ms(7900)}},
		// 1000 ppm is 5, 6, 7, 8 ms at 5, 6, 7, 8 s.
		{"rate", []Spec{{Rate: 1_000_000}}, map[string]time.Duration{"1": ms(4995), "2": ms(5994), "3": ms(6993), "4": ms(7992)}},
		{"rate from a section on", []Spec{{Rate: -1_000_000, From: 6 * time.Second}}, map[string]time.Duration{"3": ms(7001), "4": ms(8002)}},
		{"nothing", []Spec{{Shift: 0}}, map[string]time.Duration{}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := list(4)
			r := Apply(s, minute, tt.specs...)
			if len(r.Problems) > 0 {
				t.Fatal(r.Problems)
			}
			if len(r.Changes) != len(tt.want) {
				t.Errorf("%d cues changed, want %d", len(r.Changes), len(tt.want))
			}
			for _, c := range r.Changes {
				if c.To != tt.want[c.Cue.ID] {
					t.Errorf("cue %s went to %s, want %s", c.Cue.ID, c.To, tt.want[c.Cue.ID])
				}
			}
		})
	}
}

func TestRefusals(t *testing.T) {
	tests := []struct {
		name string
		spec Spec
		want []string // lines of the problems, in order
	}{
		{"before zero", Spec{Shift: 5 * time.Second}, []string{
			`cues.csv:2: found cue "1" moved from 0:05.000 to 0:00.000, so that it ignites 0:00.500 before the music`,
		}},
		{"past the end", Spec{Shift: -54 * time.Second}, []string{
			`cues.csv:4: found cue "3" moved from 0:07.000 to 1:01.000, so that it ignites at 1:00.500`,
			`cues.csv:5: found cue "4" moved from 0:08.000 to 1:02.000`,
		}},
		{"swapped", Spec{Shift: 2500 * time.Millisecond, From: 7 * time.Second}, []string{
			`cues.csv:4: found cue "3" at 0:04.000, before cue "1" (line 2) at 0:04.500, which it follows on module "L" now`,
			`cues.csv:5: found cue "4" at 0:05.000, before cue "2" (line 3) at 0:05.500, which it follows on module "R" now`,
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := Apply(list(4), minute, tt.spec)
			if !r.Problems.Stop() {
				t.Fatal("nothing forbids it")
			}
			var stops []string
			for _, p := range r.Problems {
				if p.Severity == show.SeverityStop {
					stops = append(stops, p.Error())
				}
			}
			if len(stops) != len(tt.want) {
				t.Fatalf("got %q, want %d", stops, len(tt.want))
			}
			for i, want := range tt.want {
				if !strings.HasPrefix(stops[i], want) {
					t.Errorf("got  %s\nwant %s", stops[i], want)
				}
			}
		})
	}
}

// An effect past the end of the music, with its ignition before it, is only
// worth a warning, as it is when a show is loaded.
func TestEffectPastTheEndWarns(t *testing.T) {
	r := Apply(list(1), 6*time.Second, Spec{Shift: -ms(1200)})
	if len(r.Problems) != 1 || r.Problems.Stop() {
		t.Errorf("got %v", r.Problems)
	}
}

// TestApplyProperties: what is promised whatever is asked for.
func TestApplyProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := list(rapid.IntRange(1, 30).Draw(t, "cues"))
		for i := range s.Cues {
			s.Cues[i].EffectAt = ms(rapid.Int64Range(500, 50_000).Draw(t, "effect"))
		}
		spec := Spec{
			Shift:    ms(rapid.Int64Range(-2000, 2000).Draw(t, "shift")),
			Rate:     rapid.Int64Range(-MaxRate, MaxRate).Draw(t, "rate"),
			Position: rapid.SampledFrom([]string{"", "Left", "Nowhere"}).Draw(t, "position"),
			From:     ms(rapid.Int64Range(0, 30_000).Draw(t, "from")),
		}
		before := fmt.Sprint(s.Cues)
		r := Apply(s, minute, spec)
		if fmt.Sprint(s.Cues) != before {
			t.Fatal("the show was changed")
		}
		if len(r.Cues) != len(s.Cues) {
			t.Fatalf("%d cues became %d", len(s.Cues), len(r.Cues))
		}
		old := map[string]show.Cue{}
		for _, c := range s.Cues {
			old[c.ID] = c
		}
		changed := map[string]bool{}
		for _, c := range r.Changes {
			changed[c.Cue.ID] = true
		}
		for i, c := range r.Cues {
			if i > 0 && c.IgniteAt() < r.Cues[i-1].IgniteAt() {
				t.Fatal("the result is not in firing order")
			}
			was := old[c.ID]
			if changed[c.ID] != (was.EffectAt != c.EffectAt) {
				t.Fatalf("cue %s: %s to %s, told of: %v", c.ID, was.EffectAt, c.EffectAt, changed[c.ID])
			}
			if (was.Position != spec.Position && spec.Position != "" || was.EffectAt < spec.From) && c.EffectAt != was.EffectAt {
				t.Fatalf("cue %s was not picked and moved", c.ID)
			}
			if c.EffectAt%time.Millisecond != 0 {
				t.Fatalf("cue %s is at %s: a cue list holds whole milliseconds", c.ID, c.EffectAt)
			}
			was.EffectAt = c.EffectAt
			if was != c {
				t.Fatalf("cue %s changed in more than its time", c.ID)
			}
			if !r.Problems.Stop() && (c.IgniteAt() < 0 || c.IgniteAt() > minute) {
				t.Fatalf("cue %s ignites at %s and nothing was said", c.ID, c.IgniteAt())
			}
		}
	})
}

// TestModuleOrderHolds: with no stop, two cues of a module that fired one after
// the other do not swap. Every pair is compared, which Apply does not do.
func TestModuleOrderHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := list(rapid.IntRange(2, 14).Draw(t, "cues"))
		for i := range s.Cues {
			s.Cues[i].EffectAt = time.Duration(rapid.IntRange(5, 12).Draw(t, "effect")) * time.Second
		}
		from := ms(rapid.Int64Range(0, 12_000).Draw(t, "from"))
		r := Apply(s, minute, Spec{Shift: ms(rapid.Int64Range(-4000, 4000).Draw(t, "shift")), From: from})
		now := map[string]time.Duration{}
		for _, c := range r.Cues {
			now[c.ID] = c.IgniteAt()
		}
		swapped := false
		for _, a := range s.Cues {
			for _, b := range s.Cues {
				if a.Module == b.Module && a.IgniteAt() < b.IgniteAt() && now[a.ID] > now[b.ID] {
					swapped = true
				}
			}
		}
		told := false
		for _, p := range r.Problems {
			told = told || p.Code == show.CodeModule
		}
		if swapped != told {
			t.Fatalf("swapped: %v, told: %v: %v", swapped, told, r.Problems)
		}
	})
}

// TestBackAgain: a shift and its opposite leave the list as it was, and what
// is written reads back.
func TestBackAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := list(6)
		shift := ms(rapid.Int64Range(-3000, 3000).Draw(t, "shift"))
		there := *s
		there.Cues = Apply(s, minute, Spec{Shift: shift}).Cues
		var buf bytes.Buffer
		if err := there.WriteCues(&buf); err != nil {
			t.Fatal(err)
		}
		read, problems := show.LoadAll(fstest.MapFS{
			"show.toml": {Data: []byte("cues = \"cues.csv\"\n[soundtrack]\nfile = \"a.wav\"\n")},
			"cues.csv":  {Data: buf.Bytes()},
		})
		if read == nil {
			t.Fatal(problems)
		}
		back := Apply(read, minute, Spec{Shift: -shift})
		for i, c := range back.Cues {
			if c.ID != s.Cues[i].ID || c.EffectAt != s.Cues[i].EffectAt {
				t.Fatalf("cue %s at %s came back as %s at %s", s.Cues[i].ID, s.Cues[i].EffectAt, c.ID, c.EffectAt)
			}
		}
	})
}
