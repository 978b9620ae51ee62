package instruct

import (
	"encoding/json"
	"strings"
	"testing"
	"unicode/utf8"

	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"

	"pgregory.net/rapid"
)

func TestRequests(t *testing.T) {
	plan := testPlan(testCues())
	quay := show.Group{By: show.LanesByPosition, Name: "Quay"}
	for _, c := range []struct {
		line string
		want drill.Step
		err  string
	}{
		{`{"do":"music off"}`, drill.Step{Do: drill.MusicOff}, ""},
		{`{"do":"device lost","wants":"resume"}`, drill.Step{Do: drill.DeviceLost, Wants: drill.WantResume}, ""},
		{`{"do":"over"}`, drill.Step{Do: drill.Over}, ""},
		{`{"do":"dead"}`, drill.Step{Do: drill.Dead}, ""},
		{`{"do":"alive","by":"position","name":"Quay"}`, drill.Step{Do: drill.Alive, Group: quay}, ""},
		{`{"do":"dead","by":"position","name":"Quay","wants":"stand down"}`, drill.Step{Do: drill.Dead, Group: quay, Of: quay, Wants: drill.WantStandDown}, ""},
		{`{"do":"radio","from":"Quay","text":" our module does\nnot answer\u001b[2J ","wants":"stand down","by":"position","name":"Quay"}`,
			drill.Step{Do: drill.Radio, From: "Quay", Text: "our module does not answer[2J", Wants: drill.WantStandDown, Of: quay}, ""},
		{`{"do":"dead","by":"position","name":"Pier"}`, drill.Step{}, `no cue has the position "Pier"`},
		{`{"do":"dead","by":"planet","name":"Quay"}`, drill.Step{}, `no cue has the planet "Quay"`},
		{`{"do":"music off","by":"position","name":"Quay"}`, drill.Step{}, `found a group for "music off"; wanted none`},
		{`{"do":"radio","from":"Quay","text":"stand us down","wants":"stand down"}`, drill.Step{}, "nobody to stand down"},
		{`{"do":"radio","from":"Quay","text":"\u202e"}`, drill.Step{}, "found no text"},
		{`{"do":"radio","text":"hold"}`, drill.Step{}, "nobody who speaks"},
		{`{"do":"radio","from":"Quay","text":"` + strings.Repeat("x", MaxText+1) + `"}`, drill.Step{}, "a text of 201 characters; wanted 200 at most"},
		{`{"do":"radio","from":"` + strings.Repeat("x", MaxFrom+1) + `","text":"x"}`, drill.Step{}, "a name of 41 characters"},
		{`{"do":"music off","text":"x"}`, drill.Step{}, `found words for "music off"`},
		{`{"do":"music off","wants":"applause"}`, drill.Step{}, `found "applause" as what it wants; wanted nothing or one of hold, resume, cut, stand down`},
		{`{}`, drill.Step{}, `found ""; wanted one of`},
		{`[]`, drill.Step{}, "no request"},
	} {
		r, err := parseRequest([]byte(c.line))
		var got drill.Step
		if err == nil {
			got, err = r.step(plan)
		}
		if c.err != "" {
			if err == nil || !strings.Contains(err.Error(), c.err) {
				t.Errorf("%s: error %v, want %q", c.line, err, c.err)
			}
			continue
		}
		c.want.Chance = 1
		if err != nil || got != c.want {
			t.Errorf("%s: %+v, %v", c.line, got, err)
		}
	}
}

// FuzzRequest: whatever comes in, the answer is short and clean, and what gets
// through is something a drill can do.
func FuzzRequest(f *testing.F) {
	for _, s := range []string{`{"do":"over"}`, `{"do":"radio","from":"Quay","text":"Hold.","wants":"hold"}`,
		`{"do":"dead","by":"position","name":"Mole"}`, `{"do":1}`, "\x1b]0;x\a", `{"do":"` + strings.Repeat("é", 4000) + `"}`} {
		f.Add([]byte(s))
	}
	plan := testPlan(testCues())
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := parseRequest(b)
		var s drill.Step
		if err == nil {
			s, err = r.step(plan)
		}
		if err != nil {
			if n := utf8.RuneCountInString(err.Error()); n > 250 || !isClean(err.Error()) {
				t.Fatalf("an error of %d characters: %q", n, err)
			}
			return
		}
		if !isClean(s.From+s.Text+r.Words()) || utf8.RuneCountInString(s.Text) > MaxText {
			t.Fatalf("let through %+v", s)
		}
		for _, g := range []show.Group{s.Group, s.Of} {
			if g != (show.Group{}) && plan.Group(g) < 0 {
				t.Fatalf("let through the group %+v", g)
			}
		}
	})
}

// FuzzGreeting: the first line is understood or refused in a few clean words.
func FuzzGreeting(f *testing.F) {
	f.Add([]byte(`{"drylane_instructor":3}`))
	f.Add([]byte(`{"drylane_instructor":-9223372036854775808}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		var g greeting
		err := checkGreeting(b)
		if ok := json.Unmarshal(b, &g) == nil && g.Version == Version; err == nil && !ok {
			t.Fatalf("took %q for a greeting", b)
		}
		if err != nil && (len(err.Error()) > 250 || !isClean(err.Error())) {
			t.Fatalf("error %q", err)
		}
	})
}

// FuzzMessage: whatever a server says, an instructor's view stays fit for a
// terminal.
func FuzzMessage(f *testing.F) {
	f.Add([]byte(`{"hello":{"drylane_instruct":2,"positions":["\u001b[2J"]}}`))
	f.Add([]byte(`{"state":{"next":[{"cue":"\u202e"}],"up":[{}],"level":[1e300,-1]}}`))
	f.Add([]byte(`{"event":{"kind":"tap","data":{"late_ms":-9223372036854775808}},"bye":"x\ny"}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		m, err := parseMessage(b)
		if err != nil {
			return
		}
		var v View
		v.take(m)
		for _, s := range []string{v.Answer, v.Ended, v.State.State, v.State.Drift, v.State.Score} {
			if !isClean(s) {
				t.Fatalf("view %+v", v)
			}
		}
		if back := line(m); len(back) > MaxLine || !isClean(strings.TrimSuffix(string(back), "\n")) {
			t.Fatalf("a message of %d bytes: %.200q", len(back), back)
		}
	})
}

// TestLinesFit: whatever stands in a show or a log, a message fits into a line
// and is fit for a terminal, on either side.
func TestLinesFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := func(what string) string {
			unit := rapid.SampledFrom([]string{"x", "\"", "<", "\x1b[2J", "\u202e", "漢", "\U0001f386", "\xff", "\n"}).Draw(t, what)
			return strings.Repeat(unit, rapid.IntRange(0, 3000).Draw(t, what+" length"))
		}
		n := rapid.IntRange(0, 300).Draw(t, "how many")
		h := &Hello{Version: Version, Show: text("show"), Drill: text("drill")}
		s := &State{Drift: text("drift"), Output: text("output"), After: text("after"), Score: text("score")}
		name := text("name")
		for range n {
			h.Positions = append(h.Positions, name)
			h.Steps = append(h.Steps, PlannedStep{Step: name, After: name, Do: drill.Deed(name), What: name, Wants: drill.Want(name)})
			h.Planted = append(h.Planted, name)
			s.Next = append(s.Next, NextCue{Cue: name, Position: name, Effect: name})
			s.Up = append(s.Up, UpCue{Cue: name, Position: name})
		}
		e := &session.Entry{Data: session.Data{Text: text("text"), Reason: name, From: name, Track: name, Error: name, Asked: name, Output: name}}
		for _, m := range []Message{{Hello: h}, {State: s}, {Event: e}, {Refused: text("refused")}} {
			b := line(m)
			if len(b) > MaxLine || !isClean(strings.TrimSuffix(string(b), "\n")) {
				t.Fatalf("a line of %d bytes: %.200q", len(b), b)
			}
			var back Message
			if err := json.Unmarshal(b, &back); err != nil {
				t.Fatal(err)
			}
		}
	})
}

// TestFullestHello: as many names as are told, each as long as it may be and of
// the characters that take most bytes, still make one line. Whatever is over is
// left out, so a longer list makes no longer line.
func TestFullestHello(t *testing.T) {
	name := strings.Repeat("\U0001f386", 4*MaxText)
	hello := func(many int) []byte {
		h := &Hello{Version: Version, Program: name, Show: name, Drill: name}
		for range many {
			h.Positions, h.Planted = append(h.Positions, name), append(h.Planted, name)
			h.Steps = append(h.Steps, PlannedStep{Step: name, After: name, Do: drill.Deed(name), What: name, Wants: drill.Want(name)})
		}
		return line(Message{Hello: h})
	}
	full := hello(max(maxPositions, maxPlanned))
	if len(full) > MaxLine {
		t.Errorf("the fullest hello has %d bytes; a line may have %d", len(full), MaxLine)
	}
	if more := hello(2 * maxPositions); len(more) != len(full) {
		t.Errorf("%d bytes with twice the names, %d with all that are told", len(more), len(full))
	}
}
