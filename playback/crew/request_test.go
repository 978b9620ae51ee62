package crew

import (
	"strings"
	"testing"
	"unicode/utf8"

	"drylane/show"
	"drylane/show/crew"
	"drylane/show/drill"
)

// isClean reports whether a text may go to a terminal as it is.
func isClean(s string) bool { return show.Clean(s) == s && !strings.ContainsAny(s, "\x1b\n\r") }

// asksFor is what a trainer's message asks for, as the lead reads it.
func asksFor(what crew.Deed, data []byte, p *show.Plan) (drill.Step, error) {
	var d Deed
	if err := parse(data, &d); err != nil {
		return drill.Step{}, err
	}
	return d.step(what, p)
}

func TestTrainerAsks(t *testing.T) {
	plan := newRig(t, nil).cfg.Plan
	quay := show.Group{By: show.LanesByPosition, Name: "Quay"}
	for _, c := range []struct {
		what crew.Deed
		text string
		want drill.Step
		err  string
	}{
		{crew.Fault, `{"do":"music off"}`, drill.Step{Do: drill.MusicOff}, ""},
		{crew.Fault, `{"do":"device lost","wants":"resume"}`, drill.Step{Do: drill.DeviceLost, Wants: drill.WantResume}, ""},
		{crew.Fault, `{"do":"over"}`, drill.Step{Do: drill.Over}, ""},
		{crew.Fault, `{"do":"dead"}`, drill.Step{Do: drill.Dead}, ""},
		{crew.Fault, `{"do":"alive","group":"position","of":"Quay"}`, drill.Step{Do: drill.Alive, Group: quay}, ""},
		{crew.Fault, `{"do":"dead","group":"position","of":"Quay","wants":"stand down"}`, drill.Step{Do: drill.Dead, Group: quay, Of: quay, Wants: drill.WantStandDown}, ""},
		{crew.Radio, `{"from":"Quay","text":" our module does\nnot answer\u001b[2J ","wants":"stand down","group":"position","of":"Quay"}`,
			drill.Step{Do: drill.Radio, From: "Quay", Text: "our module does not answer[2J", Wants: drill.WantStandDown, Of: quay}, ""},
		{crew.Radio, `{"do":"no-go","from":"Quay","text":"no link"}`, drill.Step{Do: drill.NoGo, From: "Quay", Text: "no link"}, ""},
		{crew.Fault, `{"do":"dead","group":"position","of":"Pier"}`, drill.Step{}, `no cue has the position "Pier"`},
		{crew.Fault, `{"do":"dead","group":"planet","of":"Quay"}`, drill.Step{}, `no cue has the planet "Quay"`},
		{crew.Fault, `{"do":"music off","group":"position","of":"Quay"}`, drill.Step{}, `found a group for "music off"; wanted none`},
		{crew.Fault, `{"do":"calls off"}`, drill.Step{}, `found "" for "calls off"; wanted a position`},
		{crew.Radio, `{"from":"Quay","text":"stand us down","wants":"stand down"}`, drill.Step{}, "nobody to stand down"},
		{crew.Radio, `{"from":"Quay","text":"\u202e"}`, drill.Step{}, "found no text"},
		{crew.Radio, `{"text":"hold"}`, drill.Step{}, "nobody who speaks"},
		{crew.Radio, `{"from":"` + strings.Repeat("x", maxFrom+1) + `","text":"x"}`, drill.Step{}, "a name of 41 characters"},
		{crew.Fault, `{"do":"music off","text":"x"}`, drill.Step{}, `found words for "music off"`},
		{crew.Fault, `{"do":"music off","wants":"applause"}`, drill.Step{}, `found "applause" as what it wants; wanted nothing or one of hold, resume, cut, stand down`},
		{crew.Fault, `{"do":"radio","from":"Quay","text":"x"}`, drill.Step{}, `found "radio" as a fault`},
		{crew.Radio, `{"do":"over"}`, drill.Step{}, `found "over" as a radio`},
		{crew.Fault, `{"do":"resume"}`, drill.Step{}, `found "resume"; wanted one of radio, go, no-go, back, music off`},
		{crew.Fault, `{}`, drill.Step{}, `found ""; wanted one of`},
		{crew.Fault, `[]`, drill.Step{}, "does not read"},
	} {
		got, err := asksFor(c.what, []byte(c.text), plan)
		if c.err != "" {
			if err == nil || !strings.Contains(err.Error(), c.err) {
				t.Errorf("%s: error %v, want %q", c.text, err, c.err)
			}
			continue
		}
		c.want.Chance = 1
		if err != nil || got != c.want {
			t.Errorf("%s: %+v, %v", c.text, got, err)
		}
	}
}

// FuzzTrainerAsks: whatever a trainer's machine sends, the answer is short and clean, and
// what gets through is something a drill can do.
func FuzzTrainerAsks(f *testing.F) {
	for _, s := range []string{`{"do":"over"}`, `{"from":"Quay","text":"Hold.","wants":"hold"}`,
		`{"do":"dead","group":"position","of":"Mole"}`, `{"do":1}`, "\x1b]0;x\a", `{"do":"` + strings.Repeat("é", 4000) + `"}`} {
		f.Add(true, []byte(s))
		f.Add(false, []byte(s))
	}
	plan := newRig(f, nil).cfg.Plan
	f.Fuzz(func(t *testing.T, radio bool, b []byte) {
		what := crew.Fault
		if radio {
			what = crew.Radio
		}
		s, err := asksFor(what, b, plan)
		if err != nil {
			if n := utf8.RuneCountInString(err.Error()); n > 250 || !isClean(err.Error()) {
				t.Fatalf("an error of %d characters: %q", n, err)
			}
			return
		}
		if !isClean(s.From+s.Text+asked(s)) || utf8.RuneCountInString(s.Text) > maxText+1 || s.Do.TakesWords() != radio {
			t.Fatalf("let through %+v", s)
		}
		for _, g := range []show.Group{s.Group, s.Of} {
			if g != (show.Group{}) && plan.Group(g) < 0 {
				t.Fatalf("let through the group %+v", g)
			}
		}
	})
}

// TestScriptedFaults: a fault as a script has it is what it is and whose.
func TestScriptedFaults(t *testing.T) {
	at := func(do, position string) Deed { return Deed{Do: do, By: show.LanesByPosition, Of: position} }
	for text, want := range map[string]Deed{
		"music off": {Do: "music off"}, "over": {Do: "over"}, "dead": {Do: "dead"}, "dead Quay": at("dead", "Quay"), "calls off Pier 2": at("calls off", "Pier 2"),
		"deadly": {Do: "deadly"}, "": {},
	} {
		if got := faultOf(text); got != want {
			t.Errorf("%q is read as %+v; wanted %+v", text, got, want)
		}
	}
}
