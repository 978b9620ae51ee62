package crew

import (
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"

	"pgregory.net/rapid"
)

// TestPages: what is planned comes out as it went in, whatever there is of it, and a page
// that is missing or comes twice adds nothing that is wrong.
func TestPages(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := Planned{Drill: "One thing"}
		for i := range rapid.IntRange(0, maxPositions).Draw(t, "positions") {
			want.Positions = append(want.Positions, fmt.Sprint("P", i))
		}
		for i := range rapid.IntRange(0, maxPlanned).Draw(t, "steps") {
			want.Steps = append(want.Steps, PlannedStep{Step: fmt.Sprint("s", i)})
		}
		for i := range rapid.IntRange(0, maxPlanned).Draw(t, "planted") {
			want.Planted = append(want.Planted, fmt.Sprint("e", i))
		}
		var got Planned
		have := 0
		pages := want.pages()
		for range rapid.IntRange(0, 3).Draw(t, "strays") {
			got, have = got.with(&pages[rapid.IntRange(0, len(pages)-1).Draw(t, "page")], have)
		}
		for i := range pages {
			got, have = got.with(&pages[i], have)
		}
		if fmt.Sprint(got) != fmt.Sprint(want) || have != len(pages) {
			t.Fatalf("%d pages are read as\n%+v\nwanted\n%+v", len(pages), got, want)
		}
	})
}

// TestDrillFits: whatever stands in a show or a log, what trainers are told fits into a
// message and is fit for a terminal.
func TestDrillFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := func(what string) string {
			unit := rapid.SampledFrom([]string{"x", "\"", "<", "\x1b[2J", "\u202e", "漢", "\U0001f386", "\xff", "\n"}).Draw(t, what)
			return strings.Repeat(unit, rapid.IntRange(0, 3000).Draw(t, what+" length"))
		}
		name := text("name")
		p, w := Planned{Drill: text("drill")}, &Watched{Drift: text("drift"), Output: text("output"), After: text("after"), Score: text("score")}
		for range rapid.IntRange(0, 300).Draw(t, "how many") {
			p.Positions, p.Planted = append(p.Positions, name), append(p.Planted, name)
			p.Steps = append(p.Steps, PlannedStep{Step: name, After: name, Do: drill.Deed(name), What: name, Wants: drill.Want(name)})
			w.Next, w.Up = append(w.Next, Cue{ID: name, Position: name, Effect: name}), append(w.Up, UpCue{Cue: name, Position: name})
		}
		e := &session.Entry{Data: session.Data{Text: text("text"), Reason: name, From: name, Track: name, Error: name, Asked: name, Output: name, Without: []string{name}}}
		list := []*Drill{{Now: w}, {Event: e}}
		for _, page := range p.pages() {
			list = append(list, &Drill{Page: &page})
		}
		for _, d := range list {
			b := pack(d)
			if len(b) > MaxMessage || !isClean(string(b)) {
				t.Fatalf("a message of %d bytes: %.200q", len(b), b)
			}
			if err := json.Unmarshal(b, new(Drill)); err != nil {
				t.Fatal(err)
			}
		}
	})
}

// TestDueIsWhole: however many cues were due at a hold, everybody is told up to which.
func TestDueIsWhole(t *testing.T) {
	e := Event{session.Entry{Kind: "held"}}
	for i := range 40 {
		e.Entry.Data.Due = append(e.Entry.Data.Due, fmt.Sprint(98+i))
	}
	due := e.Entry.Data.Due
	var got Event
	if err := parse(pack(&e), &got); err != nil {
		t.Fatal(err)
	}
	if says := got.Entry.Words(rate, 0); says != "cues 98 to 137 were due: treat as live" {
		t.Errorf("%q", says)
	}
	if len(due) != 40 || due[20] != "118" {
		t.Errorf("the log's own list was changed: %v", due)
	}
}

// TestFullestEvent: every text that an entry of the log can have is cleaned and bounded, and
// with all of them as long as they may be it is still one message.
func TestFullestEvent(t *testing.T) {
	long := strings.Repeat("<\x1b", 4*maxText)
	e := session.Entry{State: long, Kind: long, By: show.By(long)}
	fields := func(e *session.Entry, do func(name string, v reflect.Value)) {
		d := reflect.ValueOf(&e.Data).Elem()
		for i := range d.NumField() {
			do(d.Type().Field(i).Name, d.Field(i))
		}
	}
	fields(&e, func(_ string, v reflect.Value) {
		switch v.Interface().(type) {
		case []string:
			v.Set(reflect.ValueOf(slices.Repeat([]string{long}, 40)))
		default:
			if v.Kind() == reflect.String {
				v.SetString(long)
			}
		}
	})
	b := pack(&Event{e})
	if len(b) > MaxMessage {
		t.Errorf("%d bytes; a message may have %d", len(b), MaxMessage)
	}
	var got Event
	if err := parse(b, &got); err != nil {
		t.Fatal(err)
	}
	fields(&got.Entry, func(name string, v reflect.Value) {
		if text := fmt.Sprint(v); v.Kind() == reflect.String && (len(text) > maxText+len("…") || !isClean(text)) {
			t.Errorf("%s: %d bytes, %.40q", name, len(text), text)
		}
	})
}

// TestFullestPage: as many names as a page has, each as long as it may be and of the
// characters that take most bytes, still make one message.
func TestFullestPage(t *testing.T) {
	name := strings.Repeat("<", 4*maxText)
	p := Planned{Drill: name}
	for range maxPositions {
		p.Positions, p.Planted = append(p.Positions, name), append(p.Planted, name)
		p.Steps = append(p.Steps, PlannedStep{Step: name, After: name, Do: drill.Deed(name), What: name, Wants: drill.Want(name)})
	}
	pages := p.pages()
	if len(pages) != maxPages {
		t.Errorf("%d pages; wanted %d", len(pages), maxPages)
	}
	for i := range pages {
		if n := len(pack(&Drill{Page: &pages[i]})); n > MaxMessage {
			t.Errorf("page %d has %d bytes; a message may have %d", i, n, MaxMessage)
		}
	}
	w := &Watched{Drift: name, Score: name, Field: name, Output: name, After: name}
	for range 2 * maxListed {
		w.Next, w.Up = append(w.Next, Cue{ID: name, Position: name, Effect: name}), append(w.Up, UpCue{Cue: name, Position: name})
	}
	if n := len(pack(&Drill{Now: w})); n > MaxMessage {
		t.Errorf("the fullest look has %d bytes; a message may have %d", n, MaxMessage)
	}
}
