package sheet

import (
	"strings"
	"testing"
	"time"
	"unicode"

	"drylane/show"
)

const s = time.Second

func small() *show.Show {
	return &show.Show{
		Title:     "Small",
		Witness:   &show.Witness{At: 5 * s, Cue: "w"},
		Positions: []show.Position{{Name: "Quay", Distance: 180}, {Name: "Beacon", HandFired: true}, {Name: "Empty"}},
		Cues: []show.Cue{ // by ignition, as a show holds them
			{ID: "w", EffectAt: 5 * s, Position: "Quay", Module: "M2", Pin: 1, Effect: "comet", Caliber: 20},
			{ID: "1", EffectAt: 10 * s, Prefire: 3 * s, Position: "Quay", Module: "M1", Pin: 4, Effect: "shell", Caliber: 75, Note: "left rack"},
			{ID: "2", EffectAt: 11 * s, Prefire: 3 * s, Position: "Quay", Module: "M1", Pin: 2},
			{ID: "3", EffectAt: 12 * s, Prefire: 3 * s, Position: "Quay", Module: "M1", Pin: 3},
			{ID: "h1", EffectAt: 20 * s, Position: "Beacon", Effect: "fountain"},
			{ID: "h2", EffectAt: 20 * s, Position: "Beacon", Effect: "cake"},
			{ID: "h3", EffectAt: 22 * s, Position: "Beacon", Effect: "cake"},
			{ID: "h4", EffectAt: 40 * s, Position: "Beacon", Effect: "cake"},
		},
	}
}

func TestFor(t *testing.T) {
	sheets := For(small())
	if len(sheets) != 3 {
		t.Fatalf("%d sheets, want one for each position", len(sheets))
	}
	quay, beacon, empty := sheets[0], sheets[1], sheets[2]
	if got := quay.Summary(); got != "4 cues, fired from 0:05.000 to 0:09.000, largest 75 mm, 180 m to the main audience" {
		t.Error(got)
	}
	if got := beacon.Summary(); got != "4 cues, fired from 0:20.000 to 0:40.000, FIRED BY HAND, on calls that a person reads from this sheet" {
		t.Error(got)
	}
	if got := empty.Summary(); got != "0 cues" {
		t.Error(got)
	}
	if quay.Witness != "w" || beacon.Witness != "" {
		t.Errorf("witness at %q and %q", quay.Witness, beacon.Witness)
	}
	if len(quay.Modules) != 2 || quay.Modules[0].Used() != "2-4" || quay.Modules[1].Used() != "1" {
		t.Errorf("modules %+v", quay.Modules)
	}
	for i, want := range []string{
		`0:13 "stand by, cues h1 and h2 together, then h3"; 0:17 "three, two, one, fire"`,
		"together with cue h1",
		`0:21 "one, fire"`,
		`0:33 "stand by, cue h4"; 0:37 "three, two, one, fire"`,
	} {
		if got := strings.Join(beacon.Cues[i].Heard(false), "; "); got != want {
			t.Errorf("call for number %d: %q, want %q", i+1, got, want)
		}
	}
	if got := quay.Cues[1]; got.Ignite != 7*s || got.Place() != "M1 / 4" || got.Size() != "75 mm" {
		t.Errorf("%+v", got)
	}
}

// TestEveryCueOnce: no cue is lost between the sheets.
func TestEveryCueOnce(t *testing.T) {
	sh := small()
	seen := map[string]int{}
	for _, x := range For(sh) {
		for _, c := range x.Cues {
			seen[c.ID]++
		}
	}
	for _, c := range sh.Cues {
		if seen[c.ID] != 1 {
			t.Errorf("cue %s stands on %d sheets", c.ID, seen[c.ID])
		}
	}
}

func TestWords(t *testing.T) {
	var text strings.Builder
	if err := WriteText(&text, For(small())); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{FirstOfAll, "HOLD: ", "CUT: ", "STAND DOWN QUAY: ", `0:33 "stand by, cue h4"`, `"three, two, one, fire": fire on the word`, "left rack", "module M1, pins in use: 2-4"} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("the sheets lack %q:\n%s", want, &text)
		}
	}
	quay, _, _ := strings.Cut(text.String(), "\f")
	if strings.Contains(quay, "three, two, one") {
		t.Error("a wired position is told the calls of a hand-fired one")
	}
}

const hostile = "\x1b[2J</title><script>alert(1)</script>\u202E\"' &"

func hostileSheets() []*Sheet {
	sh := small()
	sh.Title, sh.Positions[0].Name, sh.Witness.Cue = hostile, hostile, hostile
	for i := range sh.Cues {
		sh.Cues[i] = show.Cue{ID: hostile, Position: hostile, Module: hostile, Pin: i + 1, Effect: hostile, Note: strings.Repeat(hostile, 100)}
	}
	return For(sh)
}

func TestTextIsClean(t *testing.T) {
	var b strings.Builder
	if err := WriteText(&b, hostileSheets()); err != nil {
		t.Fatal(err)
	}
	for _, r := range b.String() {
		if r != '\n' && r != '\f' && (unicode.IsControl(r) || r == '\u202E') {
			t.Fatalf("%U reaches the terminal", r)
		}
	}
	for _, line := range strings.Split(b.String(), "\n") {
		if n := len([]rune(line)); n > 400 {
			t.Fatalf("a line of %d characters", n)
		}
	}
}

func TestPageIsEscaped(t *testing.T) {
	var b strings.Builder
	if err := WriteHTML(&b, show.Clean(hostile), hostileSheets()); err != nil {
		t.Fatal(err)
	}
	page := b.String()
	if strings.Contains(page, "<script") || strings.ContainsAny(page, "\x1b\u202E") {
		t.Error("a name reached the page as it is")
	}
	if strings.Count(page, "<section>") != 3 || strings.Count(page, `class="box"`) != 8 || !strings.Contains(page, "&lt;script&gt;") {
		t.Error("sheets or cues are missing from the page")
	}
}

// A position that hears pips has pips on its sheet, and one that hears the calls
// of others too is told so.
func TestSheetOfPips(t *testing.T) {
	sh := small()
	sh.Positions[2].HandFired = true
	sh.Cues[7].Position = "Empty"
	sh.Tracks = []show.Track{{File: "pips.wav", Left: "pips"}}
	sheets := For(sh)
	if got, want := strings.Join(sheets[2].Cues[0].Heard(true), "; "), "0:33 low, low; 0:37 high, high, high, LONG HIGH"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	for _, one := range sheets[1:] {
		var text strings.Builder
		if err := WriteText(&text, []*Sheet{one}); err != nil {
			t.Fatal(err)
		}
		for _, want := range []string{"FIRED BY HAND, on pips, track pips.wav", "LONG HIGH: pips a second apart", "other cues: "} {
			if !strings.Contains(text.String(), want) {
				t.Errorf("%s: no %q in\n%s", one.Position, want, &text)
			}
		}
	}
}
