package drill

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"pgregory.net/rapid"
)

var monday = time.Date(2026, 7, 6, 20, 0, 0, 0, time.UTC)

// took is a run of a drill on a day, with one measure of time to hold; a
// negative one is without end.
func took(who, drill string, day, score int, hold Value) *Result {
	if hold < 0 {
		hold = Endless()
	}
	return &Result{Session: fmt.Sprintf("%s-%d.jsonl", drill, day), Person: who, Drill: drill, Title: "On " + drill, Level: 2, Began: monday.AddDate(0, 0, day),
		Score: score, Scored: true, Finished: true, Lines: []Line{{Measure: Measure{Kind: TimeToHold, Step: "call", Good: 3, Pass: 6}, Value: hold}}}
}

// robinAndAlex are eight runs, not in order.
func robinAndAlex() []*Result {
	left := took("Robin", "quay", 5, 10, -1)
	left.Finished = false
	list := []*Result{
		took("Robin", "quay", 3, 70, 2.4), took("Robin", "quay", 0, 40, 3.2), took("Robin", "jetty", 2, 60, 2.6),
		took("robin", "quay", 1, 50, 2.9), left, took("Robin", "quay", 4, 80, -1), took("Robin", "quay", 6, 90, 2.0), took("Alex", "quay", 2, 55, 4),
	}
	list[1].Lines = append(list[1].Lines, Line{Measure: Measure{Kind: WrongFirstNudge}, Value: 1}, Line{Measure: Measure{Kind: NeedlessHolds}, Grade: LeftOut})
	list[0].Lines = append(list[0].Lines, Line{Measure: Measure{Kind: WrongFirstNudge}, Value: 0})
	return list
}

// TestProgress: by hand, the holds of Robin in order are 3.2, 2.9, 2.6, 2.4,
// never and 2.0 s. The slopes between the five with an end are -0.3, -0.3,
// -0.2667, -0.3, -0.3, -0.25, -0.3, -0.2, -0.3 and -0.4: the median is -0.3, so
// 1.2 s from the first to the fifth. All of them go one way, so it is no chance.
// The scores that count on quay are 40, 50, 70, 80 and 90: the ten slopes are
// 10, 15, 13.3, 12.5, 20, 15, 13.3, 10, 10 and 10, the median 12.9, and four
// times that 51.7.
func TestProgress(t *testing.T) {
	p := NewProgress(robinAndAlex())
	if len(p.People) != 2 || p.People[0].Name != "Alex" || p.People[1].Runs != 7 {
		t.Fatalf("%+v", p.People)
	}
	robin := p.People[1]
	if len(robin.Drills) != 2 || robin.Drills[0].Drill != "jetty" || len(robin.Drills[1].Runs) != 6 {
		t.Fatalf("%+v", robin.Drills)
	}
	if got, want := robin.Drills[1].Words(), "up by 52 points over 5 runs"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got, want := robin.Drills[0].Words(), "too few runs to tell"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	hold := robin.Kinds[0]
	if got, want := hold.Words(), "faster by 1.2 s over 5 runs; never in 1 of 6"; hold.Kind != TimeToHold || got != want {
		t.Errorf("%s: %q, want %q", hold.Kind, got, want)
	}
	if hold.First() != "3.2 s" || hold.Best() != "2 s" || hold.Latest() != "2 s" {
		t.Errorf("first %s, best %s, latest %s", hold.First(), hold.Best(), hold.Latest())
	}
	if got, want := robin.Kinds[1].Words(), "yes in 1 of 2"; len(robin.Kinds) != 2 || got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestTrendWords: plain words for either way, and for what may be chance.
func TestTrendWords(t *testing.T) {
	at := func(kind Kind, values ...Value) string {
		var list []*Result
		for i, v := range values {
			res := took("", "quay", i, 0, 0)
			res.Lines = []Line{{Measure: Measure{Kind: kind}, Value: v}}
			list = append(list, res)
		}
		return NewProgress(list).People[0].Kinds[0].Words()
	}
	for _, tt := range []struct{ got, want string }{
		{at(TimeToHold, 3, 2, 1), "too few runs to tell"},
		{at(TimeToHold, 3, 2, 1, 0.5), "faster by 2.8 s over 4 runs, which may be chance"}, // slopes -1, -1, -0.83, -1, -0.75, -0.5: the median is -0.92
		{at(TimeToCut, 1, 1.2, 1.4, 1.6, 1.8), "slower by 0.8 s over 5 runs"},
		{at(TimeToHold, 2, 2, 2, 2, 2), "no change over 5 runs"},
		{at(TimeToHold, 2, 2.01, 2.02, 2.01, 2), "no change over 5 runs"},
		{at(Residual, 0.3, 0.25, 0.2, 0.15, 0.1), "nearer by 0.2 s over 5 runs"},
		{at(CuesAfterCall, 4, 3, 2, 1, 0), "fewer by 4 over 5 runs"},
		{at(NeedlessHolds, 0, 1, 1, 2, 2), "more by 2 over 5 runs, which may be chance"}, // slopes 1, 0.5, 0.67, 0.5, 0, 0.5, 0.33, 1, 0.5, 0
	} {
		if tt.got != tt.want {
			t.Errorf("%q, want %q", tt.got, tt.want)
		}
	}
}

// TestProgressText: the progress on terminals of two widths.
func TestProgressText(t *testing.T) {
	for _, width := range []int{80, 120} {
		var b bytes.Buffer
		if err := NewProgress(robinAndAlex()).WriteText(&b, width); err != nil {
			t.Fatal(err)
		}
		for line := range strings.Lines(b.String()) {
			if w := ansi.StringWidth(strings.TrimRight(line, "\n")); w > width {
				t.Errorf("%d columns at %d: %s", w, width, line)
			}
		}
		golden(t, fmt.Sprintf("progress-%d.txt", width), b.String())
	}
	var b bytes.Buffer
	if err := NewProgress(nil).WriteText(&b, 80); err != nil || b.String() != "No drill has been run.\n" {
		t.Errorf("%v: %q", err, b.String())
	}
}

// TestProgressPage: a dot or cross for each run and value, and no harm.
func TestProgressPage(t *testing.T) {
	var b bytes.Buffer
	if err := NewProgress(append(robinAndAlex(), nasty(t))).WriteHTML(&b, monday); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	for _, bad := range []string{"<script", "http:", "https:", "url(", "src=", "href=", "\u202e", "\x1b", "ZgotmplZ", "NaN", "Inf"} {
		if strings.Contains(text, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	// Scores: 8 runs, of which one was left, and the nasty one, which a call to hold
	// let be cut. Values: 6 holds of Robin, one without end, 1 of Alex, 2 first nudges,
	// and the nasty hold.
	if dots, crosses := strings.Count(text, "<circle"), strings.Count(text, `class="cross"`); dots != 8+9 || crosses != 1+1 {
		t.Errorf("%d dots and %d crosses", dots, crosses)
	}
	for _, want := range []string{"Robin", "up by 52 points over 5 runs", "never in 1 of 6", "No figure here is permission"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the page", want)
		}
	}
}

func TestProgressFigures(t *testing.T) {
	text, err := json.Marshal(NewProgress(robinAndAlex()).Figures())
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		People []struct {
			Name   string
			Drills []struct {
				Runs  []struct{ Score *int }
				Trend *struct {
					Runs   int
					Change float64
				}
			}
			Measures []struct {
				Values []struct{ Value *float64 }
			}
		}
	}
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	robin := got.People[1]
	if robin.Drills[0].Trend != nil || robin.Drills[1].Trend.Runs != 5 || *robin.Drills[1].Runs[0].Score != 40 ||
		*robin.Measures[0].Values[0].Value != 3.2 || robin.Measures[0].Values[4].Value != nil {
		t.Errorf("%s", text)
	}
}

// TestTrendFollowsALine: values on a line give its slope, whatever a few of
// them become.
func TestTrendFollowsALine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(8, 40).Draw(t, "runs")
		slope := float64(rapid.IntRange(-20, 20).Draw(t, "slope"))
		wild := rapid.IntRange(0, n-1).Draw(t, "wild") // one value may be anywhere
		var tr trender
		for i := range n {
			v := 1000 + slope*float64(i)
			if i == wild {
				v = rapid.Float64Range(0, 5000).Draw(t, "value")
			}
			tr.add(monday.AddDate(0, 0, i), v)
		}
		if got, want := tr.trend().Change, slope*float64(n-1); got < want-1e-6 || got > want+1e-6 {
			t.Fatalf("%v over %d runs, want %v", got, n, want)
		}
	})
}
