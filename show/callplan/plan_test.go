package callplan

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show"

	"pgregory.net/rapid"
)

// at makes cues 1, 2, ... at these seconds.
func at(seconds ...float64) []Cue {
	var cues []Cue
	for i, s := range seconds {
		cues = append(cues, Cue{fmt.Sprint(i + 1), time.Duration(s * float64(time.Second))})
	}
	return cues
}

// lay lays cues out in English.
func lay(cues []Cue) Plan { return Lay(cues, show.CallWords{}) }

// draw writes a plan as `w 3: 1 | 1: 2,3`: w for a warning, then the count of
// each shot and its cues.
func draw(plan Plan) string {
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
		if s.Ahead > 0 {
			text = "w " + text
		}
		all = append(all, text)
	}
	return strings.Join(all, "; ")
}

// The rules as they are stated, worked by hand.
func TestLay(t *testing.T) {
	for _, c := range []struct {
		cues []Cue
		want string
	}{
		{nil, ""},
		{at(10), "w 3: 1"},
		{at(10, 18), "w 3: 1; w 3: 2"},
		{at(10, 17.999), "w 3: 1 | 3: 2"},
		{at(10, 14, 17.999, 20.999, 22.998, 23.698), "w 3: 1 | 3: 2 | 2: 3 | 2: 4 | 0: 5 | 0: 6"},
		{at(10, 12), "w 3: 1 | 1: 2"},
		{at(10, 10), "w 3: 1,2"},
		{at(10, 10.699, 10.7), "w 3: 1,2,3"},
		{at(10, 10.5, 11, 11.5, 19.5), "w 3: 1,2,3,4; w 3: 5"},
		{at(10, 10.5, 11, 11.7), "w 3: 1,2,3 | 0: 4"},
		{at(20, 10), "w 3: 2; w 3: 1"},
		{at(7), "w 3: 1"},
		{at(6.999), "3: 1"},
		{at(2.999), "2: 1"},
		{at(0.5), "0: 1"},
		{at(0), "0: 1"},
		{at(0, 8), "0: 1; w 3: 2"},
	} {
		if got := draw(lay(c.cues)); got != c.want {
			t.Errorf("%v: %s, want %s", c.cues, got, c.want)
		}
	}
}

// What is said, and when, worked by hand.
func TestPhrases(t *testing.T) {
	for _, c := range []struct {
		cues []Cue
		want string
	}{
		{at(10), "3.0 stand by, cue 1 / 7.0 three / 8.0 two / 9.0 one / 10.0 fire"},
		{at(2.5), "0.5 two / 1.5 one / 2.5 fire"},
		{at(10, 10.2), "3.0 stand by, cues 1 and 2 together / 7.0 three / 8.0 two / 9.0 one / 10.0 fire"},
		{at(20, 20.4, 21), "13.0 stand by, cue 1, then 2 and 3 on sight / 17.0 three / 18.0 two / 19.0 one / 20.0 fire"},
		{at(20, 20.1, 20.6, 21, 21.4), "12.0 stand by, cues 1 and 2 together, then 3 to 5 on sight / 17.0 three / 18.0 two / 19.0 one / 20.0 fire"},
		{at(20, 23, 23.2), "13.0 stand by, cue 1, then 2 and 3 together / 17.0 three / 18.0 two / 19.0 one / 20.0 fire / 21.0 two / 22.0 one / 23.0 fire"},
		{at(7, 7.4, 9, 9.4, 11, 11.4), "0.0 stand by, cues 1 to 6 on 3 words / 4.0 three / 5.0 two / 6.0 one / 7.0 fire / 9.0 fire / 11.0 fire"},
		{at(20, 20.1, 20.5, 21.5, 23, 23.1), "10.0 stand by, cues 1 and 2 together, then 3 on sight, then 4, then 5 and 6 together / 17.0 three / 18.0 two / 19.0 one / 20.0 fire / 21.5 fire / 23.0 fire"},
	} {
		var said []string
		for _, p := range lay(c.cues).Phrases() {
			said = append(said, fmt.Sprintf("%.1f %s", p.At.Seconds(), p.Text))
		}
		if got := strings.Join(said, " / "); got != c.want {
			t.Errorf("%v:\n%s, want\n%s", c.cues, got, c.want)
		}
	}
}

// drawn are cues at any milliseconds of a minute.
func drawn(t *rapid.T) []Cue {
	var cues []Cue
	for i, ms := range rapid.SliceOf(rapid.IntRange(0, 60_000)).Draw(t, "ms") {
		cues = append(cues, Cue{fmt.Sprint(i), time.Duration(ms) * time.Millisecond})
	}
	return cues
}

// Whatever the cues: each is called once, and all that is said begins a second
// or more after the cue before it; words are Near apart or more, and within a
// group no cue is.
func TestLayCallsEveryCueOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cues := drawn(t)
		var called []Cue
		end := -time.Hour // of the group before
		for _, s := range lay(cues) {
			if s.Begin() < 0 || s.Ahead > 0 && s.Begin() < end+time.Second {
				t.Fatalf("a warning at %s, a cue at %s", s.Begin(), end)
			}
			for _, shot := range s.Shots {
				if shot.Count > 0 && shot.Counted() < end+time.Second {
					t.Fatalf("a count begins at %s, the cue before is at %s", shot.Counted(), end)
				}
				if shot.At < end+Near || shot.Cues[0].At != shot.At {
					t.Fatalf("a word at %s, a cue before at %s, for %v", shot.At, end, shot.Cues)
				}
				for i, c := range shot.Cues[1:] {
					if gap := c.At - shot.Cues[i].At; gap < 0 || gap >= Near {
						t.Fatalf("in one group %v", shot.Cues)
					}
				}
				called, end = append(called, shot.Cues...), shot.End()
			}
		}
		byID := func(a, b Cue) int { return strings.Compare(a.ID, b.ID) }
		slices.SortFunc(called, byID)
		slices.SortFunc(cues, byID)
		if !slices.Equal(called, cues) {
			t.Fatalf("called %v of %v", called, cues)
		}
	})
}

// No phrase is given time that the next one has too.
func TestPhrasesHaveRoom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		over := time.Duration(0)
		for _, p := range lay(drawn(t)).Phrases() {
			if p.At < over || p.Room <= 0 || p.Text == "" {
				t.Fatalf("%+v, and the phrase before it may last until %s", p, over)
			}
			over = p.At + p.Room
		}
	})
}

func TestUnderway(t *testing.T) {
	plan := lay(at(20, 23, 23.4, 40))
	for _, c := range []struct {
		at   float64
		want string // the shot's first cue, and from when on all would be heard
	}{
		{0, "-"}, {12.8, "-"}, {12.9, "1 from 12.8"}, {15, "1 from 12.8"}, {20, "1 from 12.8"},
		{20.1, "2 from 12.8"}, {23.4, "2 from 12.8"}, {23.5, "-"}, {32.8, "-"}, {33, "4 from 32.8"}, {40, "4 from 32.8"}, {41, "-"},
	} {
		got := "-"
		if shot, begin, ok := plan.Underway(time.Duration(c.at * float64(time.Second))); ok {
			got = fmt.Sprintf("%s from %.1f", shot.Cues[0].ID, begin.Seconds())
		}
		if got != c.want {
			t.Errorf("at %g s: %s, want %s", c.at, got, c.want)
		}
	}
	if _, _, ok := lay(at(0.1)).Underway(0); ok {
		t.Error("at the very start nothing has been missed")
	}
}

// named are cues with these ids.
func named(ids string) (cues []Cue) {
	for _, id := range strings.Fields(ids) {
		cues = append(cues, Cue{ID: id})
	}
	return cues
}

func TestNameCues(t *testing.T) {
	for want, ids := range map[string]string{
		"cue 12":                      "12",
		"cues 12 and 13":              "12 13",
		"cues 12 to 15":               "12 13 14 15",
		"cues 12, 14 and 20":          "12 14 20",
		"cues A1, A2, B and C":        "A1 A2 B C",
		"6 cues, 12 to 27":            "12 14 16 18 20 27",
		"cues 012, 013 and 14":        "012 013 14",
		"5 cues, 13 to 9":             "13 12 11 10 9",
		"cues without a number and 2": "- 2",
	} {
		if got := new(Series).nameCues(named(ids)); got != want {
			t.Errorf("%s: %q, want %q", ids, got, want)
		}
	}
	for id, want := range map[string]string{
		"12": "12", "A-7/2": "A 7 2", "--help": "help", "": "", "<x>": "x", "é1": "é1",
		strings.Repeat("1234 ", 20): "1234 1234 1234 1234 1234",
	} {
		if got := sayable(id); got != want {
			t.Errorf("%q is said as %q, want %q", id, got, want)
		}
	}
}
