package season

import (
	"bytes"
	"errors"
	"reflect"
	"strings"
	"testing"
	"time"

	"drylane/show/drill"

	"pgregory.net/rapid"
)

var july = time.Date(2026, 7, 1, 20, 0, 0, 0, time.UTC)

// ran is a finished run of a drill on a day of July, with one call to hold; a negative
// hold is a missed one.
func ran(who, name string, onDay, score int, hold float64) *drill.Result {
	v := drill.Value(hold)
	if hold < 0 {
		v = drill.Endless()
	}
	return &drill.Result{
		Session: name + "-" + who, Person: who, Drill: name, Began: july.AddDate(0, 0, onDay-1), Score: score, Scored: true, Finished: true,
		Lines: []drill.Line{{Measure: drill.Measure{Kind: drill.TimeToHold}, Value: v}, {Measure: drill.Measure{Kind: drill.NeedlessHolds}, Value: 1}},
	}
}

const crewFile = `title = "Harbour crew"
[[need]]
drill = "first-hold"
score = 60
times = 2
days = 10
[[need]]
drill = "cut"
role = "shooter"
signed = true
[[member]]
name = "Robin"
roles = ["shooter"]
[[member]]
name = "Alex"
`

func crew(t *testing.T) *Curriculum {
	t.Helper()
	c, err := ParseCurriculum("crew.toml", strings.NewReader(crewFile))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestParseCurriculum(t *testing.T) {
	want := &Curriculum{
		Title: "Harbour crew",
		Needs: []Need{
			{Drill: "first-hold", Score: 60, Times: 2, Within: 10 * day, Line: 2},
			{Drill: "cut", Role: "shooter", Score: 70, Times: 1, Within: 365 * day, Signed: true, Line: 7},
		},
		Crew: []Member{{Name: "Robin", Roles: []string{"shooter"}}, {Name: "Alex"}},
	}
	if got := crew(t); !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
	if _, err := ParseCurriculum("format", strings.NewReader(strings.Replace(Format, `, "spotter"`, "", 1))); err != nil {
		t.Errorf("the documented format: %v", err)
	}
}

func TestParseCurriculumRefuses(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"title = \"x\"", "found no need"},
		{"[[need]]\nscore = 70\n[[member]]\nname = \"A\"", "crew.toml:1:3: found no drill under [need]"},
		{"[[need]]\ndrill = \"cut\"\nscore = 101\n[[member]]\nname = \"A\"", "crew.toml:3:1: found the number 101 as score; wanted 0 to 100"},
		{"[[need]]\ndrill = \"cut\"\nrole = \"shooter\"\n[[member]]\nname = \"A\"\nroles = [\"shoter\"]", `crew.toml:6:1: found "shoter" as roles; wanted the role of a [[need]]; did you mean "shooter"?`},
		{"[[need]]\ndrill = \"cut\"\n[[member]]\nname = \"A\"\n[[member]]\nname = \"a\"", `crew.toml:6:1: found "a" as name; wanted each of the crew once`},
		{"[[need]]\ndrill = \"cut\"\nday = 3\n[[member]]\nname = \"A\"", `did you mean "days"?`},
		{"x", "what is not TOML"},
	} {
		if _, err := ParseCurriculum("crew.toml", strings.NewReader(c.text)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %s", c.text, err, c.want)
		}
	}
}

func FuzzParseCurriculum(f *testing.F) {
	f.Add(crewFile)
	f.Add(Format)
	f.Fuzz(func(t *testing.T, text string) {
		c, err := ParseCurriculum("crew.toml", strings.NewReader(text))
		if (c == nil) == (err == nil) {
			t.Fatalf("%v and %v", c, err)
		}
		if c != nil && (len(c.Needs) == 0 || len(c.Crew) == 0) {
			t.Errorf("%+v: nothing to ask, or nobody", c)
		}
	})
}

// Robin needs two runs of first-hold in ten days: with those of the 3rd and the 8th it is
// the older that grows too old first, on the 13th.
func TestStanding(t *testing.T) {
	results := []*drill.Result{
		ran("Robin", "first-hold", 1, 59, 2), ran("robin", "first-hold", 3, 60, 4), ran("Robin", "first-hold", 8, 90, -1),
		ran("Robin", "cut", 5, 80, 3), ran("Alex", "cut", 5, 80, 3), ran("Kim", "first-hold", 8, 90, 1),
	}
	for _, c := range []struct {
		onDay  int
		signed bool
		want   []string // of each need
	}{
		{9, true, []string{"current until 2026-07-13", "current until 2027-07-05"}},
		{9, false, []string{"current until 2026-07-13", "DUE: no signed run"}},
		{14, true, []string{"DUE: 1 of 2 runs", "current until 2027-07-05"}},
		{20, true, []string{"DUE since 2026-07-18", "current until 2027-07-05"}},
		{2, true, []string{"DUE: best 59, wanted 60", "DUE: never run"}},
	} {
		b := Open(crew(t), results, func(string) bool { return c.signed }, july.AddDate(0, 0, c.onDay-1))
		robin := b.Members[0]
		for i, h := range robin.Needs {
			if h.Words() != c.want[i] {
				t.Errorf("on the %dth, signed %v: %s: %s, want %s", c.onDay, c.signed, h.Drill, h.Words(), c.want[i])
			}
		}
		if all := c.signed && c.onDay == 9; robin.Current != all {
			t.Errorf("on the %dth: current %v", c.onDay, robin.Current)
		}
		if alex := b.Members[1]; len(alex.Needs) != 1 || alex.Current {
			t.Errorf("Alex: %+v, want first-hold alone, due", alex)
		}
	}
}

// Of four calls one was missed: half were answered within 3 s, and nine of ten never.
func TestReactions(t *testing.T) {
	results := []*drill.Result{
		ran("Robin", "first-hold", 1, 59, 2), ran("Robin", "first-hold", 3, 60, 4), ran("Robin", "first-hold", 8, 90, -1), ran("Robin", "cut", 5, 80, 3),
	}
	left := ran("Robin", "cut", 6, 0, -1)
	left.Finished = false
	st := Open(crew(t), append(results, left), func(string) bool { return false }, july.AddDate(0, 0, 30)).Members[0]
	want := "4 calls to hold: half answered within 3.0 s, nine of ten within no time; 1 missed, which count as missed; 4 needless holds apart: a cost to the show, no fault"
	if got := st.Reacts(); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func TestBookIsWritten(t *testing.T) {
	b := Open(crew(t), []*drill.Result{ran("Robin", "first-hold", 3, 60, 4)}, func(string) bool { return true }, july.AddDate(0, 0, 8))
	var text, html bytes.Buffer
	if err := errors.Join(b.WriteText(&text), b.WriteHTML(&html)); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Harbour crew on 2026-07-09: 0 of 2 current, 2 due", "Robin: DUE", "first-hold  DUE: 1 of 2 runs  2 runs in 10 days, score 60", "cut         DUE: never run", "Alex: DUE", Care} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("no %q in\n%s", want, &text)
		}
	}
	for _, want := range []string{"<h1>Harbour crew</h1>", `<span class="due">DUE</span>`, "no licence"} {
		if !strings.Contains(html.String(), want) {
			t.Errorf("no %q in the page", want)
		}
	}
	if f := b.Figures(); len(f.Members) != 2 || *f.Members[0].Half != 4 || f.Members[1].Half != nil || f.Members[0].Needs[0].Until != nil {
		t.Errorf("%+v", f)
	}
}

// signed is a chain of three.
func signed(t *rapid.T, n int) (chain []Signature, file []byte) {
	for i := range n {
		s, line, err := Sign(chain, Signature{At: july.AddDate(0, 0, i), Session: rapid.String().Draw(t, "session"), By: "Kim", Score: i, Remark: rapid.String().Draw(t, "remark")})
		if err != nil {
			t.Fatal(err)
		}
		chain, file = append(chain, s), append(file, line...)
	}
	return chain, file
}

func TestChainIsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		chain, file := signed(t, rapid.IntRange(0, 4).Draw(t, "n"))
		got, err := ReadChain("signatures.jsonl", bytes.NewReader(file))
		if err != nil || len(got) != len(chain) {
			t.Fatalf("%d of %d read back: %v", len(got), len(chain), err)
		}
		for i := range got {
			if got[i].Sum != chain[i].Sum || got[i].Score != i {
				t.Errorf("%+v", got[i])
			}
		}
	})
}

// Whatever byte is changed, and whichever line but the last is taken out, shows.
func TestAChangeShows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, file := signed(t, 3)
		lines := bytes.SplitAfter(file, []byte("\n"))
		changed := bytes.Clone(file)
		if rapid.Bool().Draw(t, "take out") {
			i := rapid.IntRange(0, 1).Draw(t, "line")
			changed = bytes.Join(append(append([][]byte{}, lines[:i]...), lines[i+1:]...), nil)
		} else {
			i := rapid.IntRange(0, len(file)-2).Draw(t, "byte") // the last is a line's end
			changed[i] ^= byte(1 << rapid.IntRange(0, 7).Draw(t, "bit"))
		}
		got, err := ReadChain("signatures.jsonl", bytes.NewReader(changed))
		if same := err == nil && len(got) == 3; same {
			for i, s := range got { // JSON may be written in more than one way: the words are what was signed
				var was Signature
				_, line, _ := Sign(got[:i], s)
				if was = got[i]; !bytes.Equal(line, lines[i]) || was.sum() != was.Sum {
					t.Errorf("a change went by: %s", changed)
				}
			}
			return
		}
		if !errors.As(err, new(*ChainError)) {
			t.Errorf("%d signatures and %v, want an error that says where", len(got), err)
		}
	})
}

// Two signatures on one line are none: the second would be read by nobody.
func TestTwoOnALine(t *testing.T) {
	var file []byte
	var chain []Signature
	for range 3 {
		s, line, err := Sign(chain, Signature{At: july, By: "Kim"})
		if err != nil {
			t.Fatal(err)
		}
		chain, file = append(chain, s), append(file, line...)
	}
	for _, between := range []string{" ", "\v", ""} {
		joined := bytes.Replace(file, []byte("\n"), []byte(between), 1)
		got, err := ReadChain("signatures.jsonl", bytes.NewReader(joined))
		var broken *ChainError
		if !errors.As(err, &broken) || broken.Line != 1 || len(got) != 0 {
			t.Errorf("%q between them: %d signatures and %v", between, len(got), err)
		}
	}
}

func FuzzReadChain(f *testing.F) {
	f.Add([]byte(`{"at":"2026-07-01T20:00:00Z","session":"a","session_sha256":"","person":"","drill":"","score":0,"by":"Kim","before":"","sum":""}` + "\n"))
	f.Add([]byte("{}\n"))
	f.Fuzz(func(t *testing.T, file []byte) {
		chain, _ := ReadChain("signatures.jsonl", bytes.NewReader(file))
		for _, s := range chain {
			if s.Sum != s.sum() || strings.ContainsAny(s.String(), "\x1b\n") {
				t.Errorf("%+v", s)
			}
		}
	})
}
