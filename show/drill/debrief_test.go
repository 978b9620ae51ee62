package drill

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"html"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/session"

	"github.com/charmbracelet/x/ansi"
)

var update = flag.Bool("update", false, "write the expected texts anew")

// golden holds a text against the one in testdata.
func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs (go test -update writes it anew):\n%s", name, got)
	}
}

func robinsResult(t *testing.T) *Result {
	t.Helper()
	res, err := FromLog("mon.jsonl", robin(t).read())
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// TestDebriefText: the debrief on terminals of two widths.
func TestDebriefText(t *testing.T) {
	for _, width := range []int{80, 120} {
		var b bytes.Buffer
		if err := robinsResult(t).WriteText(&b, width); err != nil {
			t.Fatal(err)
		}
		for line := range strings.Lines(b.String()) {
			if w := ansi.StringWidth(strings.TrimRight(line, "\n")); w > width {
				t.Errorf("%d columns at %d: %s", w, width, line)
			}
		}
		golden(t, fmt.Sprintf("debrief-%d.txt", width), b.String())
	}
}

// page is the debrief as HTML.
func pageOf(t testing.TB, results ...*Result) string {
	t.Helper()
	var b bytes.Buffer
	if err := (Page{results, time.Date(2026, 7, 5, 9, 0, 0, 0, time.UTC)}).WriteHTML(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// hostile is a text that means harm to a page and to a terminal.
const hostile = "<script>alert(1)</script>\"onload=\"x\u202egnp.\x1b[2J"

// nasty is a run whose every text is hostile.
func nasty(t testing.TB) *Result {
	r := newRig(t)
	r.header.Title, r.header.Person = hostile, hostile
	r.begin()
	r.start()
	r.play(5000)
	r.step(hostile, Radio, WantHold)
	r.say(session.KindDrill, session.Data{Step: hostile, Do: hostile, From: hostile, Wants: hostile, GroupBy: hostile, Name: hostile})
	r.say(session.KindDrill, session.Data{Step: "x", Do: string(Dead), GroupBy: hostile, Name: hostile, Wants: string(WantStandDown)})
	r.say(session.KindNote, session.Data{Text: hostile})
	r.say(session.KindRefused, session.Data{Asked: hostile, Text: hostile})
	for _, kind := range []string{session.KindDevice, session.KindListening, session.KindSilent, session.KindSecond, session.KindOutput} {
		r.say(kind, session.Data{Track: hostile, Did: session.Second(hostile), Error: hostile, Output: hostile})
	}
	r.hold(hostile)
	r.do(show.Command{Action: show.Cut, Reason: hostile})
	x := &Exercise{Drill: &Drill{Name: hostile, Title: hostile, Good: hostile, Why: hostile, Measures: []Measure{
		{Kind: TimeToHold, Step: hostile}, {Kind: TimeToStandDown, Step: "x"}, {Kind: Kind(hostile), Step: hostile}, {Kind: TimeToCut, Step: hostile + "2"}}},
		Plants: []Plant{{Position: hostile, Late: []time.Duration{ms(300)}}}}
	res, err := Score(r.read(), x)
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// TestPageIsHarmless: nothing in a log becomes markup, and the page asks for
// nothing outside itself.
func TestPageIsHarmless(t *testing.T) {
	res := nasty(t)
	text := pageOf(t, res)
	for _, bad := range []string{"<script", "javascript:", "http:", "https:", "url(", "@import", "src=", "href=", "\u202e", "\x1b", "ZgotmplZ", "NaN", "Inf"} {
		if strings.Contains(text, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	if m := regexp.MustCompile(`<[^>]* on[a-z]+=`).FindString(text); m != "" {
		t.Errorf("the page holds a handler: %s", m)
	}
	want := html.EscapeString(`<script>alert(1)</script>"onload="xgnp.[2J`)
	if n := strings.Count(text, want); n < 15 {
		t.Errorf("the hostile text is on the page %d times as a text, want it wherever it belongs", n)
	}
	var b bytes.Buffer
	if err := res.WriteText(&b, 80); err != nil || strings.ContainsAny(b.String(), "\x1b\u202e") {
		t.Errorf("the text holds what a terminal takes for a command: %v", err)
	}
}

// TestPageSaysWhatMatters looks for what an instructor needs.
func TestPageSaysWhatMatters(t *testing.T) {
	text := pageOf(t, robinsResult(t))
	for _, want := range []string{"Score: 72 of 100", "held 2.5 s after the call; good is up to 2 s, pass up to 4 s", "34.4 of 50", ">2.5 s</text>",
		"no firing system", "licensed operator in charge", "first hold or cut after it", "Good: up to 2 s. Pass: up to 4 s.", `content="width=device-width`, "Content-Security-Policy"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the page", want)
		}
	}
	// A flag for each of the ten moments, a line for each of the two answers,
	// a shaded part for the hold.
	for what, n := range map[string]int{`class="flag `: 10, `class="link"`: 2, `class="held"`: 1} {
		if got := strings.Count(text, what); got != n {
			t.Errorf("%d of %s, want %d", got, what, n)
		}
	}
}

// TestLongRunStaysSmall: a run of thousands of events makes a page that opens.
func TestLongRunStaysSmall(t *testing.T) {
	r := newRig(t)
	r.start()
	for range 3000 {
		r.say(session.KindNote, session.Data{Text: strings.Repeat("wind ", 100)})
	}
	r.end()
	if text := pageOf(t, r.score(none())); len(text) > 500_000 || !strings.Contains(text, "and 2703 more") {
		t.Errorf("the page takes %d bytes", len(text))
	}
}

// TestFigures reads the figures back with another reader of JSON.
func TestFigures(t *testing.T) {
	text, err := json.Marshal(robinsResult(t).Figures())
	if err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	line := got["measures"].([]any)[0].(map[string]any)
	call := got["moments"].([]any)[5].(map[string]any)
	if got["score"] != 72. || got["drill"] != "quay" || got["length_s"] != 59.5 || line["value"] != 2.5 || line["grade"] != "pass" ||
		call["answer"] != 6. || call["after_s"] != 2.5 || call["wants"] != "hold" {
		t.Errorf("%s", text)
	}
	text, err = json.Marshal(nasty(t).Figures())
	if err != nil || !strings.Contains(string(text), `"value":null,"grade":"left out"`) {
		t.Errorf("%v: %s", err, text)
	}
	r := newRig(t)
	unheard(r)
	text, err = json.Marshal(r.score(none(), Measure{Kind: TimeToHold, Step: "person", Weight: 2}).Figures())
	if err != nil || !strings.Contains(string(text), `"value":null,"never":true,"grade":"poor"`) || !strings.Contains(string(text), `"score":0`) {
		t.Errorf("%v: %s", err, text)
	}
}
