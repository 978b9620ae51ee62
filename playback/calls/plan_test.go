package calls

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// at makes cues 1, 2, ... at these seconds.
func at(seconds ...float64) []Firing {
	var cues []Firing
	for i, s := range seconds {
		cues = append(cues, Firing{fmt.Sprint(i + 1), time.Duration(s * float64(time.Second))})
	}
	return cues
}

// draw writes a plan as `w 3: 1 | 1: 2,3`: w for a warning, then the count of
// each shot and its cues.
func draw(plan []Series) string {
	var all []string
	for _, s := range plan {
		var shots []string
		for _, shot := range s.Shots {
			var ids []string
			for _, c := range shot.Cues {
				ids = append(ids, c.ID)
			}
			shots = append(shots, fmt.Sprintf("%d: %s", shot.Count, strings.Join(ids, ",")))
		}
		text := strings.Join(shots, " | ")
		if s.Warned {
			text = "w " + text
		}
		all = append(all, text)
	}
	return strings.Join(all, "; ")
}

// The rules as they are stated, worked by hand.
func TestPlan(t *testing.T) {
	for _, c := range []struct {
		cues []Firing
		want string
	}{
		{nil, ""},
		{at(10), "w 3: 1"},
		{at(10, 18), "w 3: 1; w 3: 2"},
		{at(10, 17.999), "w 3: 1 | 3: 2"},
		{at(10, 14, 17.999, 20.999, 22.998, 23.698), "w 3: 1 | 3: 2 | 2: 3 | 2: 4 | 0: 5 | 0: 6"},
		{at(10, 12), "w 3: 1 | 1: 2"},
		{at(10, 10), "w 3: 1,2"},
		{at(10, 10.699, 10.7), "w 3: 1,2 | 0: 3"},
		{at(20, 10), "w 3: 2; w 3: 1"},
		{at(7), "w 3: 1"},
		{at(6.999), "3: 1"},
		{at(2.999), "2: 1"},
		{at(0.5), "0: 1"},
		{at(0), "0: 1"},
		{at(0, 8), "0: 1; w 3: 2"},
	} {
		if got := draw(Plan(c.cues)); got != c.want {
			t.Errorf("%v: %s, want %s", c.cues, got, c.want)
		}
	}
}

// Whatever the cues: each is called once, on its time or less than Near late,
// and all that is said begins a second or more after the word before it.
func TestPlanCallsEveryCueOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var cues []Firing
		for i, ms := range rapid.SliceOf(rapid.IntRange(0, 60_000)).Draw(t, "ms") {
			cues = append(cues, Firing{fmt.Sprint(i), time.Duration(ms) * time.Millisecond})
		}
		plan := Plan(cues)
		var called []string
		word := -time.Hour
		for _, s := range plan {
			if s.Warned && (s.Shots[0].At-WarnAhead < word+time.Second || s.Shots[0].At < WarnAhead) {
				t.Fatalf("a warning at %s, a word at %s", s.Shots[0].At-WarnAhead, word)
			}
			for _, shot := range s.Shots {
				if begin := shot.At - time.Duration(shot.Count)*time.Second; begin < 0 || shot.Count > 0 && begin < word+time.Second {
					t.Fatalf("a count begins at %s, the word before is at %s", begin, word)
				}
				if shot.At-word < Near || shot.Cues[0].At != shot.At || shot.Late() >= Near || shot.Late() < 0 {
					t.Fatalf("a word at %s, %s after the one before, for %v", shot.At, shot.At-word, shot.Cues)
				}
				word = shot.At
				for _, c := range shot.Cues {
					called = append(called, c.ID)
				}
			}
		}
		slices.Sort(called)
		var ids []string
		for _, c := range cues {
			ids = append(ids, c.ID)
		}
		slices.Sort(ids)
		if !slices.Equal(called, ids) {
			t.Fatalf("called %v of %v", called, ids)
		}
	})
}

func TestNameCues(t *testing.T) {
	for want, ids := range map[string]string{
		"cue 12":               "12",
		"cues 12 and 13":       "12 13",
		"cues 12 to 15":        "12 13 14 15",
		"cues 12, 14 and 20":   "12 14 20",
		"cues A1, A2, B and C": "A1 A2 B C",
		"6 cues, 12 to 27":     "12 14 16 18 20 27",
		"cues 012, 013 and 14": "012 013 14",
		"5 cues, 13 to 9":      "13 12 11 10 9",
		"cues without and 2":   "without 2",
	} {
		if got := nameCues(strings.Fields(ids)); got != want {
			t.Errorf("%s: %q, want %q", ids, got, want)
		}
	}
	for id, want := range map[string]string{
		"12": "12", "A-7/2": "A 7 2", "--help": "help", "": "without a number", "<x>": "x", "é1": "é1",
		strings.Repeat("1234 ", 20): "1234 1234 1234 1234 1234",
	} {
		if got := sayable(id); got != want {
			t.Errorf("%q is said as %q, want %q", id, got, want)
		}
	}
}
