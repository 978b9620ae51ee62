package show

import (
	"slices"
	"strings"
	"testing"
)

// By hand: four cues, two at A and two at B, of which the last was not commanded.
func TestSayings(t *testing.T) {
	at := func(i int) string { return "AABB"[i : i+1] }
	fired := func(i int) bool { return i < 3 }
	var s Sayings
	for _, c := range []struct {
		say  Saying
		want string // of each cue: s seen, d did not go, - nobody said
		n    int
		err  string
	}{
		{Saying{Saw: DidNotGo, Cue: 1}, "-d--", 1, ""},
		{Saying{Saw: SeenOrHeard, Position: "A"}, "sd--", 1, ""}, // what was said of a cue by itself stays
		{Saying{Saw: SeenOrHeard, Position: "B"}, "sds-", 1, ""},
		{Saying{Saw: SeenOrHeard, Cue: 3}, "sds-", 0, "not commanded: still loaded"},
		{Saying{Saw: DidNotGo, Cue: 4}, "sds-", 0, "no such cue"},
		{Saying{Saw: DidNotGo, Cue: -1}, "sds-", 0, "no such cue"},
		{Saying{Saw: DidNotGo, Position: "C"}, "sds-", 0, `no cue has the position "C"`},
		{Saying{Cue: 1}, "s-s-", 1, ""},
		{Saying{Saw: DidNotGo, Position: "A"}, "dds-", 2, ""},
		{Saying{Position: "A"}, "--s-", 2, ""},
	} {
		before := s
		next, n, err := s.With(c.say, 4, at, fired)
		if (err == nil) != (c.err == "") || err != nil && !strings.Contains(err.Error(), c.err) || n != c.n {
			t.Errorf("%+v: %d cues, %v; want %d, %q", c.say, n, err, c.n, c.err)
		}
		var got strings.Builder
		for i := range 4 {
			got.WriteString(map[Saw]string{NobodySaid: "-", SeenOrHeard: "s", DidNotGo: "d"}[next.Of(i)])
		}
		if got.String() != c.want {
			t.Errorf("%+v: %s, want %s", c.say, &got, c.want)
		}
		for i := range 4 {
			if before.Of(i) != s.Of(i) {
				t.Fatal("what was said before was written over")
			}
		}
		s = next
	}
}

// What several people say of a cue stands side by side, the graver word first, and nobody
// takes back another's.
func TestSayingsOfSeveral(t *testing.T) {
	const ben, ada = "Ben (Beacon)", "Ada (safety)"
	var s Sayings
	say := func(w Saying) error {
		next, _, err := s.With(w, 2, func(int) string { return "A" }, func(i int) bool { return i == 0 })
		s = next
		return err
	}
	for _, c := range []struct {
		say        Saying
		want       Saw
		seen, duds []string
		err        string
	}{
		{Saying{Saw: SeenOrHeard, By: ben}, SeenOrHeard, []string{ben}, nil, ""},
		{Saying{}, SeenOrHeard, []string{ben}, nil, ben + " said it, and that stands"},
		{Saying{Saw: SeenOrHeard}, SeenOrHeard, []string{ben, ""}, nil, ""},
		{Saying{Saw: DidNotGo, By: ada}, DidNotGo, []string{ben, ""}, []string{ada}, ""},
		{Saying{Saw: SeenOrHeard, By: ben}, DidNotGo, []string{ben, ""}, []string{ada}, ""},
		{Saying{Saw: DidNotGo, By: ben}, DidNotGo, []string{""}, []string{ben, ada}, ""},
		{Saying{Saw: SeenOrHeard, By: ada}, DidNotGo, []string{"", ada}, []string{ben}, ""},
		{Saying{Saw: DidNotGo, Position: "A"}, DidNotGo, []string{"", ada}, []string{ben}, "of which nobody has said anything"},
		{Saying{}, DidNotGo, []string{ada}, []string{ben}, ""},
		{Saying{Saw: SeenOrHeard, By: ben}, SeenOrHeard, []string{ben, ada}, nil, ""},
		{Saying{Saw: SeenOrHeard, By: ben, Cue: 1}, SeenOrHeard, []string{ben, ada}, nil, ErrNotCommanded.Error()},
	} {
		err := say(c.say)
		if (err == nil) != (c.err == "") || err != nil && !strings.Contains(err.Error(), c.err) {
			t.Errorf("%+v: %v; want %q", c.say, err, c.err)
		}
		if seen, duds := s.Who(0, SeenOrHeard), s.Who(0, DidNotGo); s.Of(0) != c.want || !slices.Equal(seen, c.seen) || !slices.Equal(duds, c.duds) {
			t.Errorf("%+v: %s, seen by %q, not by %q", c.say, s.Of(0), seen, duds)
		}
	}
}

func TestSayingsInAScript(t *testing.T) {
	steps, err := ParseScript("s", strings.NewReader("20 seen 14\n+1 did-not-go 15 b\n+1 seen position Far Quay\n+1 unsaid 14\n"))
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []ScriptAction{
		{Kind: KindSaw, Saw: SeenOrHeard, Text: "14"}, {Kind: KindSaw, Saw: DidNotGo, Text: "15 b"},
		{Kind: KindSaw, Saw: SeenOrHeard, Command: Command{Group: Group{LanesByPosition, "Far Quay"}}}, {Kind: KindSaw, Text: "14"},
	} {
		if steps[i].Do != want {
			t.Errorf("step %d: %+v, want %+v", i, steps[i].Do, want)
		}
	}
	for _, bad := range []string{"seen", "did-not-go position", "unsaid"} {
		if _, err := ParseScript("s", strings.NewReader("0 "+bad)); err == nil || !strings.Contains(err.Error(), "position NAME") {
			t.Errorf("%q: %v", bad, err)
		}
	}
}
