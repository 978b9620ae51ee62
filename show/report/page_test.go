package report

import (
	"bytes"
	"encoding/csv"
	"html"
	"regexp"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/session"
	"drylane/testdata/reftest"
)

// hostile is a text that means harm to a page, a terminal and a spreadsheet.
const hostile = "=cmd|' /C calc'!A1<script>alert(1)</script>\"onload=\"x\u202egnp.\x1b[2J"

// nasty is a run whose every text is hostile.
func nasty(t testing.TB) *Sheet {
	cues := every(10, 4000, 3000, 1000)
	for i := range cues {
		cues[i].ID += hostile
		cues[i].Position, cues[i].Effect, cues[i].Module = hostile, hostile, hostile
	}
	r := newRig(t, cues)
	r.header.Title, r.header.Output, r.header.Person, r.header.Soundtrack.File = hostile, hostile, hostile, hostile
	r.begin()
	r.must(show.Arm, 0)
	r.must(show.Start, 0)
	for i := range 8 {
		if i == 4 {
			r.do(show.Command{Action: show.Nudge, Step: 3500 * time.Millisecond}, at(14_500))
		}
		r.tap(at(int64(3700 + 3000*i)))
	}
	r.say(session.KindNote, at(25_000), session.Data{Text: hostile})
	for _, kind := range []string{session.KindDevice, session.KindListening, session.KindSilent, session.KindSecond, session.KindOutput} {
		r.say(kind, at(25_000), session.Data{Track: hostile, Did: session.Second(hostile), Error: hostile, Output: hostile})
	}
	r.do(show.Command{Action: show.Hold, Reason: hostile}, at(25_500))
	r.resume(time.Second)
	r.do(show.Command{Action: show.StandDown, Group: show.Group{By: "position", Name: hostile}}, at(26_000))
	r.do(show.Command{Action: show.Cut, Reason: hostile}, at(30_000))
	return NewSheet(hostile, r.run(), Person{Name: hostile})
}

func pageOf(t testing.TB, sheets ...*Sheet) string {
	t.Helper()
	var out bytes.Buffer
	if err := (Page{Sheets: sheets, Made: time.Date(2026, 7, 5, 9, 0, 0, 0, time.UTC)}).WriteHTML(&out); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// TestPageIsHarmless: nothing in a log becomes markup, and the page asks for
// nothing outside itself.
func TestPageIsHarmless(t *testing.T) {
	s := nasty(t)
	text := pageOf(t, s, s)
	for _, bad := range []string{"<script", "javascript:", "http:", "https:", "url(", "@import", "src=", "href=", "\u202e", "\x1b", "ZgotmplZ", "NaN"} {
		if strings.Contains(text, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	if m := regexp.MustCompile(`<[^>]* on[a-z]+=`).FindString(text); m != "" {
		t.Errorf("the page holds a handler: %s", m)
	}
	want := html.EscapeString(`=cmd|' /C calc'!A1<script>alert(1)</script>"onload="xgnp.[2J`)
	if n := strings.Count(text, want); n < 20 {
		t.Errorf("the hostile text is on the page %d times as a text, want it wherever it belongs", n)
	}
	if !strings.Contains(text, "Content-Security-Policy") {
		t.Error("the page has no policy")
	}
}

// TestPageSaysWhatMatters looks for what a crew needs on the page of a run.
func TestPageSaysWhatMatters(t *testing.T) {
	text := pageOf(t, NewSheet("night.jsonl", tapped(t, func(show.Cue) time.Duration { return ms(310) }).run(), Person{Name: "Robin", Bias: ms(-10), Calibrated: true}))
	for _, want := range []string{
		"Debrief: Quay Night", "suggest EARLIER 0.3 s", "taps of Robin, calibrated: 10 ms early is taken off each",
		"lane Left", "no firing system", "authority having jurisdiction (AHJ)", "licensed operator in charge", "local law", "No figure here is permission",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the page", want)
		}
	}
	if strings.Contains(text, "<h2>Trend") {
		t.Error("there is a trend of one session")
	}
}

// TestTrendIsByPerson: two sessions of one person are a trend, one of another
// is not.
func TestTrendIsByPerson(t *testing.T) {
	run := tapped(t, func(show.Cue) time.Duration { return ms(310) }).run()
	text := pageOf(t, NewSheet("a", run, Person{Name: "Robin"}), NewSheet("b", run, Person{Name: "Robin"}), NewSheet("c", run, Person{Name: "Alex"}))
	if strings.Count(text, "<h2>Trend") != 1 || !strings.Contains(text, "<h2>Trend: Robin") {
		t.Error("want a trend of Robin and none of Alex")
	}
}

// TestLongListStaysSmall: strokes at one place are drawn once, and tables end.
func TestLongListStaysSmall(t *testing.T) {
	cues := every(20_000, 1000, 2, 0)
	r := newRig(t, cues)
	r.must(show.Arm, 0)
	r.do(show.Command{Action: show.StandDown, Group: show.Group{By: "position", Name: "Left"}}, 0)
	r.must(show.Start, 0)
	r.play(at(61_000))
	text := pageOf(t, NewSheet("long", r.run(), Person{}))
	if len(text) > 200_000 {
		t.Errorf("the page of 20,000 cues takes %d bytes", len(text))
	}
	if !strings.Contains(text, "and 9800 more") {
		t.Error("the page does not say how many cues it leaves out")
	}
}

// TestTable reads the table back with another reader and counts.
func TestTable(t *testing.T) {
	var out bytes.Buffer
	s := nasty(t)
	if err := WriteCSV(&out, []*Sheet{s}); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&out).ReadAll() // every row as wide as the first, or an error
	if err != nil {
		t.Fatal(err)
	}
	count := map[string]int{}
	for _, row := range rows[1:] {
		count[row[4]]++
		for i, cell := range row {
			numeric := i >= 7 && i <= 10
			if !numeric && strings.ContainsAny(cell[:min(1, len(cell))], "=+-@\t\r") || strings.ContainsAny(cell, "\u202e\x1b") {
				t.Errorf("column %s: %q", rows[0][i], cell)
			}
		}
	}
	want := map[string]int{"tap": 8, "hold": 1, "nudge": 1, "show": 1, "lane": 1}
	for what, n := range want {
		if count[what] != n {
			t.Errorf("%d lines of %s, want %d", count[what], what, n)
		}
	}
	if n := s.Run.Count(Skipped) + s.Run.Count(Left); count["skipped"]+count["left"] != n || n == 0 {
		t.Errorf("%d skipped and %d left, want %d", count["skipped"], count["left"], n)
	}
}

// TestInABrowser opens the page in headless Chromium: it must load without a
// word on the console, and what the browser makes of it must be what was
// meant, hostile texts and all.
func TestInABrowser(t *testing.T) {
	good := NewSheet("night.jsonl", tapped(t, func(show.Cue) time.Duration { return ms(310) }).run(), Person{Name: "Robin"})
	text := reftest.Browse(t, pageOf(t, good, nasty(t)))
	if strings.Contains(text, "<script") || !strings.Contains(text, "&lt;script&gt;alert(1)") {
		t.Error("a hostile text became markup")
	}
	// One dot, diamond, ring or cross for each tap.
	if n := strings.Count(text, `<g transform="translate(`); n != len(good.Run.Taps)+8 {
		t.Errorf("%d taps are drawn, want %d", n, len(good.Run.Taps)+8)
	}
	if !strings.HasSuffix(strings.TrimSpace(text), "</html>") || strings.Count(text, "<h2>") != 2 {
		t.Errorf("the page has %d sections, want 2", strings.Count(text, "<h2>"))
	}
}
