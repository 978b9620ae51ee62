package show

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// wantSameCues compares cues but for their lines in a file.
func wantSameCues(t interface {
	Helper()
	Errorf(string, ...any)
}, got, want []Cue) {
	t.Helper()
	same := slices.EqualFunc(got, want, func(a, b Cue) bool {
		a.Line, b.Line = 0, 0
		return a == b
	})
	if !same {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
}

func TestWriteCues(t *testing.T) {
	s := &Show{Cues: []Cue{
		{ID: "-1", EffectAt: 83250 * time.Millisecond, Prefire: 2 * time.Second, Position: "A", Module: "M", Pin: 3, Effect: `12" shell, red`, Caliber: 75.5, Burn: time.Millisecond, Note: "=1+1"},
		{ID: "'@x", EffectAt: 90 * time.Second, Position: "'B'", Note: "a\nb\x1b\u202e"},
	}}
	var out bytes.Buffer
	if err := s.WriteCues(&out); err != nil {
		t.Fatal(err)
	}
	want := "cue,effect_at,prefire,position,module,pin,effect,caliber_mm,burn,note\r\n" +
		"'-1,83.250,2.000,A,M,3,\"12\"\" shell, red\",75.5,0.001,'=1+1\r\n" +
		"''@x,90.000,0.000,'B',,,,,0.000,a b\r\n"
	if got := out.String(); got != want {
		t.Errorf("got\n%q\nwant\n%q", got, want)
	}
}

func TestWriteCuesRefusesTimes(t *testing.T) {
	for _, c := range []Cue{
		{ID: "1", EffectAt: -1},
		{ID: "1", EffectAt: time.Second, Prefire: 2 * time.Second},
		{ID: "1", EffectAt: MaxTime + 1},
		{ID: "1", Burn: -time.Second},
	} {
		if err := (&Show{Cues: []Cue{c}}).WriteCues(&bytes.Buffer{}); err == nil || !strings.Contains(err.Error(), `cue "1"`) {
			t.Errorf("%+v: %v, want an error that names the cue", c, err)
		}
	}
}

// drawShow makes a show whose cue list has every kind of text in it.
func drawShow(t *rapid.T) *Show {
	text := rapid.OneOf(
		rapid.StringMatching(`[A-Za-z0-9 ,"'=+@;-]{0,12}`),
		rapid.StringN(0, 12, 60),
		rapid.SampledFrom([]string{"=1+1", "''=x", "'", "-", "＝x", "\"", `\.`, "花火", "e\u0301", "#x"}),
	)
	tidyText := func(label string) string {
		s, _, _ := tidy(text.Draw(t, label))
		return s
	}
	ms := func(label string, most time.Duration) time.Duration {
		return time.Duration(rapid.Int64Range(0, most.Milliseconds()).Draw(t, label)) * time.Millisecond
	}
	s := &Show{}
	n := rapid.IntRange(1, 20).Draw(t, "cues")
	for i := range n {
		c := Cue{
			ID:       tidyText("id") + string(rune('a'+i)), // unique, and never empty
			EffectAt: ms("effect", MaxTime),
			Burn:     ms("burn", MaxTime),
			Position: "p" + tidyText("position"),
			Effect:   tidyText("text"),
			Note:     tidyText("note"),
			Caliber:  float64(rapid.IntRange(0, 13000).Draw(t, "caliber")) / 10,
		}
		c.Prefire = ms("prefire", c.EffectAt)
		if rapid.Bool().Draw(t, "wired") {
			c.Module, c.Pin = "="+c.Position, i+1
		}
		c.Family = FamilyOf(c.Effect)
		s.Cues = append(s.Cues, c)
	}
	slices.SortStableFunc(s.Cues, func(a, b Cue) int { return int(a.IgniteAt() - b.IgniteAt()) })
	return s
}

func TestWriteCuesRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawShow(t)
		var out bytes.Buffer
		if err := s.WriteCues(&out); err != nil {
			t.Fatal(err)
		}
		again, err := Load(folderOf(smallShow, out.String()))
		if err != nil {
			t.Fatalf("%v\nin %q", err, out.String())
		}
		wantSameCues(t, again.Cues, s.Cues)
	})
}
