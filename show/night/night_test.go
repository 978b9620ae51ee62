package night

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"drylane/show"

	"pgregory.net/rapid"
)

// entry is an invented show with a cue on each module and pin, as in "M1 3",
// and a player for each "name=file"; a file named x#1 has the name x and the
// hash 1.
func entry(title string, uses ...string) Entry {
	s := &show.Show{Title: title}
	sums := map[string]string{}
	for i, u := range uses {
		if name, file, ok := strings.Cut(u, "="); ok {
			file, sum, _ := strings.Cut(file, "#")
			s.Players = append(s.Players, show.Player{Name: name, File: file})
			sums[file] = sum
			continue
		}
		c := show.Cue{ID: fmt.Sprint(i + 1)}
		fmt.Sscanf(u, "%s %d", &c.Module, &c.Pin)
		s.Cues = append(s.Cues, c)
	}
	return Entry{Show: s, Folder: strings.ToLower(title), Sum: func(f string) string { return sums[f] }}
}

// TestFindings holds small nights against what a person would say of them.
// That one pin fires one cue, and one player one file at a time, is common
// practice, no source.
func TestFindings(t *testing.T) {
	for name, c := range map[string]struct {
		night Night
		want  []string
	}{
		"none":                  {nil, nil},
		"one show, a pin twice": {Night{entry("A", "M1 1", "M1 1", "desk=a.wav")}, nil},
		"apart":                 {Night{entry("A", "M1 1", "M2 2"), entry("B", "M1 2", "M2 1", "M3 1")}, nil},
		"no module, no pin":     {Night{entry("A", "", "M1"), entry("B", "", "M1")}, nil},
		"one pin": {Night{entry("A", "M1 7"), entry("B", "M1 7")}, []string{
			"stop: module M1: pin 7 is used by A and B; give each show"}},
		"runs of pins": {Night{
			entry("A", "M1 1", "M1 2", "M1 3", "M1 5", "M1 8", "M1 9"),
			entry("B", "M1 9", "M1 8", "M1 5", "M1 3", "M1 2", "M1 1", "M1 6")}, []string{
			"stop: module M1: pins 1 to 3, 5, 8, 9 are used by A and B"}},
		"three shows": {Night{entry("A", "M2 1", "M1 1"), entry("B", "M1 1"), entry("C", "M1 1", "M2 1")}, []string{
			"stop: module M1: pin 1 is used by A, B and C",
			"stop: module M2: pin 1 is used by A and C"}},
		"modules by letter case": {Night{entry("A", "m1 1"), entry("B", "M1 1")}, nil},
		"same title": {Night{entry("A", "M1 1"), {Show: entry("A", "M1 1").Show, Folder: "second"}}, []string{
			"stop: module M1: pin 1 is used by A (a) and A (second)"}},
		"player, one file": {Night{entry("A", "desk=all.wav"), entry("B", "desk=all.wav")}, nil},
		"player, two files": {Night{entry("A", "desk=a.wav"), entry("B", "desk=b.wav"), entry("C", "amp=c.wav")}, []string{
			"warn: player desk: it is to play another file from show to show: a.wav for A, b.wav for B"}},
		"player, one name, other content": {Night{entry("A", "desk=x.wav#1"), entry("B", "desk=x.wav#2")}, []string{
			"warn: player desk: it is to play other sound under the same name from show to show: x.wav for A, x.wav for B"}},
		"player, two names, one content": {Night{entry("A", "desk=a.wav#1"), entry("B", "desk=b.wav#1")}, nil},
		"player, content known of one":   {Night{entry("A", "desk=x.wav#1"), entry("B", "desk=x.wav")}, nil},
		"player, third show differs":     {Night{entry("A", "desk=a.wav#1"), entry("B", "desk=a.wav#1"), entry("C", "desk=c.wav#3")}, []string{"warn: player desk: it is to play another file"}},
		"stops come first": {Night{entry("A", "desk=a.wav", "M1 1"), entry("B", "desk=b.wav", "M1 1")}, []string{
			"stop: module M1", "warn: player desk"}},
		"texts are cleaned": {Night{entry("A\x1b[2J", "M1 1"), entry("B\u202e", "M1 1")}, []string{
			"stop: module M1: pin 1 is used by A[2J and B;"}},
	} {
		found := c.night.Findings(c.night.Conflicts())
		if len(found) != len(c.want) {
			t.Errorf("%s: found %v, want %q", name, found, c.want)
			continue
		}
		for i, f := range found {
			if !strings.HasPrefix(f.String(), c.want[i]) {
				t.Errorf("%s: found %q, want %q", name, f, c.want[i])
			}
		}
	}
}

// TestManyConflicts: what nobody reads to the end is counted.
func TestManyConflicts(t *testing.T) {
	var uses []string
	for i := range 50 {
		uses = append(uses, fmt.Sprintf("M%d 1", i))
	}
	n := Night{entry("A", uses...), entry("B", uses...)}
	found := n.Findings(n.Conflicts())
	if len(found) != maxFindings+1 || found[maxFindings].Code != CodeMore || !strings.HasPrefix(found[maxFindings].Found, "30 more") {
		t.Errorf("%d findings, the last %v", len(found), found[len(found)-1])
	}
	if len(found.Stops()) != len(found) {
		t.Error("what is not listed forbids no arming")
	}
}

// TestStops: a show is stopped by its own conflicts alone.
func TestStops(t *testing.T) {
	n := Night{entry("A", "M1 1", "desk=a"), entry("B", "M2 1", "desk=b"), entry("C", "M1 1", "desk=a")}
	conflicts := n.Conflicts()
	for i, want := range []int{1, 0, 1} {
		if got := n.Stops(conflicts, i); len(got) != want {
			t.Errorf("show %d: %q", i, got)
		}
	}
}

// TestEveryPinOnce: a conflict tells of a pin if and only if two shows use it,
// and names just those that do. The shows are few enough to try every one.
func TestEveryPinOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		modules := []string{"", "M1", "M2", "M10"}
		cue := rapid.Custom(func(t *rapid.T) show.Cue {
			return show.Cue{Module: rapid.SampledFrom(modules).Draw(t, "module"), Pin: rapid.IntRange(0, 6).Draw(t, "pin")}
		})
		var n Night
		for range rapid.IntRange(0, 5).Draw(t, "shows") {
			n = append(n, Entry{Show: &show.Show{Cues: rapid.SliceOfN(cue, 0, 12).Draw(t, "cues")}})
		}
		conflicts := n.Conflicts()
		for _, m := range modules {
			for pin := range 7 {
				var want []int
				for i, e := range n {
					if slices.ContainsFunc(e.Show.Cues, func(c show.Cue) bool { return c.Module == m && c.Pin == pin }) {
						want = append(want, i)
					}
				}
				if m == "" || pin == 0 || len(want) < 2 {
					want = nil
				}
				var got [][]int
				for _, c := range conflicts {
					if c.Module == m && slices.Contains(c.Pins, pin) {
						got = append(got, c.Shows)
					}
				}
				if want == nil && got != nil || want != nil && (len(got) != 1 || !slices.Equal(got[0], want)) {
					t.Fatalf("pin %d of module %q: found shows %v, want %v", pin, m, got, want)
				}
			}
		}
	})
}

// TestOrderOfShows: turning the night about turns the conflicts' shows about
// and finds neither more nor fewer.
func TestOrderOfShows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		use := rapid.SampledFrom([]string{"M1 1", "M1 2", "M1 3", "M2 1", "d=a#1", "d=a#2", "d=b", "d=b#1", "e=a", "e=c#3"})
		var n Night
		for i := range rapid.IntRange(0, 5).Draw(t, "shows") {
			n = append(n, entry(fmt.Sprint(i), rapid.SliceOfN(use, 0, 6).Draw(t, "uses")...))
		}
		back := slices.Clone(n)
		slices.Reverse(back)
		key := func(c Conflict, turn bool) string {
			shows := slices.Clone(c.Shows)
			if turn {
				for k := range shows {
					shows[k] = len(n) - 1 - shows[k]
				}
				slices.Reverse(shows)
			}
			return fmt.Sprint(c.Code, shows, c.Module, c.Pins, c.Player)
		}
		var one, two []string
		for _, c := range n.Conflicts() {
			one = append(one, key(c, false))
		}
		for _, c := range back.Conflicts() {
			two = append(two, key(c, true))
		}
		slices.Sort(one)
		slices.Sort(two)
		if !slices.Equal(one, two) {
			t.Fatalf("forwards %q, backwards %q", one, two)
		}
	})
}

// BenchmarkConflicts holds ten full shows against each other.
func BenchmarkConflicts(b *testing.B) {
	var n Night
	for range 10 {
		s := &show.Show{}
		for i := range 10_000 {
			s.Cues = append(s.Cues, show.Cue{Module: fmt.Sprintf("M%d", i/32), Pin: i%32 + 1})
		}
		n = append(n, Entry{Show: s})
	}
	for b.Loop() {
		n.Conflicts()
	}
}
