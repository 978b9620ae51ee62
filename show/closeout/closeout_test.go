package closeout

import (
	"bytes"
	"encoding/csv"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"

	"pgregory.net/rapid"
)

const (
	rate = 48000
	s    = time.Second
)

var july = time.Date(2026, 7, 4, 22, 0, 0, 0, time.UTC)

// list is four cues at 2, 4, 6 and 8 s, at two positions.
func list() []show.Cue {
	return []show.Cue{
		{ID: "1", EffectAt: 2 * s, Position: "Quay", Module: "Q1", Pin: 1, Effect: "gold comet"},
		{ID: "2", EffectAt: 4 * s, Position: "Mole", Module: "M1", Pin: 7, Effect: "red peony", Caliber: 75},
		{ID: "3", EffectAt: 6 * s, Position: "Quay", Module: "Q1", Pin: 2, Effect: "gold comet"},
		{ID: "4", EffectAt: 8 * s, Position: "Mole", Effect: "=silver"},
	}
}

// ran is the session of a run: each action at its second of the music.
func ran(t testing.TB, at ...struct {
	sec float64
	c   show.Command
}) *session.Log {
	t.Helper()
	cues := list()
	plan := show.NewPlan(cues, show.Console{Guard: show.DefaultGuard, NudgeLimit: show.DefaultNudgeLimit}, rate, 10*rate)
	h := session.Header{Program: "test", Title: "Quay Night", Began: july, Output: "silence",
		Soundtrack: session.Soundtrack{File: "night.wav", Rate: rate, Frames: 10 * rate}, GuardMS: 150, LimitMS: 10_000, Cues: session.CuesOf(plan, cues)}
	var buf bytes.Buffer
	w, err := session.NewWriter(&buf, nil, h)
	if err != nil {
		t.Fatal(err)
	}
	tr := show.NewTransport(plan)
	for _, a := range at {
		ev, err := tr.Do(a.c, timebase.Frame(a.sec*rate), nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range ev {
			if entry, ok := session.FromEvent(e, tr, h.Cues); ok {
				entry.Wall = july.Add(time.Duration(a.sec * float64(s)))
				if _, err := w.Append(entry); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	log, err := session.Read(&buf)
	if err != nil {
		t.Fatal(err)
	}
	return log
}

type step = struct {
	sec float64
	c   show.Command
}

func do(sec float64, a show.Action) step { return step{sec, show.Command{Action: a}} }

// cutShort is a run in which the Quay was stood down before its second cue, and that was cut
// before the last: by hand, 1 and 2 were commanded, 3 stood down, 4 not reached.
func cutShort(t testing.TB) *session.Log {
	return ran(t, do(0, show.Arm), do(0, show.Start),
		step{5, show.Command{Action: show.StandDown, Group: show.Group{By: show.LanesByPosition, Name: "Quay"}}}, do(7, show.Cut))
}

func record(t testing.TB, log *session.Log, search string) *Record {
	t.Helper()
	var sr *Search
	if search != "" {
		var err error
		if sr, err = ParseSearch("search.toml", strings.NewReader(search)); err != nil {
			t.Fatal(err)
		}
	}
	r, err := New("night.jsonl", log, sr)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func states4(r *Record) (out []State) {
	for _, p := range r.Pins {
		out = append(out, p.State)
	}
	return out
}

// TestLastStop: a console that stays open after the end moves no waiting time, and a show
// that was armed again is not over.
func TestLastStop(t *testing.T) {
	at := func(minute int, kind string) session.Entry {
		return session.Entry{Wall: july.Add(time.Duration(minute) * time.Minute), Kind: kind}
	}
	for _, tt := range []struct {
		entries []session.Entry
		want    int // minutes
	}{
		{[]session.Entry{at(0, "armed"), at(1, "started"), at(5, "ended"), at(6, "reset"), at(90, "closed")}, 5},
		{[]session.Entry{at(0, "armed"), at(1, "started"), at(5, "cut"), at(90, "closed")}, 5},
		{[]session.Entry{at(0, "armed"), at(5, "cut"), at(9, "re-entered"), at(12, "started"), at(30, "ended"), at(31, "closed")}, 30},
		{[]session.Entry{at(0, "armed"), at(5, "cut"), at(9, "armed"), at(12, "started"), at(30, "fired")}, 30},
		{[]session.Entry{at(0, "armed"), at(7, "fired")}, 7},
	} {
		if got := lastStop(tt.entries).Sub(july); got != time.Duration(tt.want)*time.Minute {
			t.Errorf("%v after the beginning, want %d minutes", got, tt.want)
		}
	}
}

func TestWhatWasCommanded(t *testing.T) {
	r := record(t, cutShort(t), "")
	if got := states4(r); !slices.Equal(got, []State{Commanded, Commanded, Loaded, Loaded}) {
		t.Errorf("%v", got)
	}
	if r.Pins[2].Reason != StoodDown || r.Pins[3].Reason != NotReached {
		t.Errorf("%+v", r.Pins)
	}
	if got := r.Heading(); got != "2 pins to treat as live; 2 commanded of which nobody said anything: live until searched; 2 positions not searched" || r.Closed() {
		t.Errorf("%s, closed %v", got, r.Closed())
	}
	if got, want := r.WaitWords(), "wait 15:00 after the last effect, until 22:15:07 at the earliest; the operator in charge decides"; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

// A cue that any run of the evening fired was commanded, whatever later runs did.
func TestAllRunsCount(t *testing.T) {
	log := ran(t, do(0, show.Arm), do(0, show.Start), do(7, show.Cut), do(7, show.Arm), do(7, show.Start), do(3, show.Cut))
	if got := states4(record(t, log, "")); !slices.Equal(got, []State{Commanded, Commanded, Commanded, Loaded}) {
		t.Errorf("%v", got)
	}
}

const searched = `wait_minutes = 30
[[searched]]
position = "Quay"
by = "Robin"
at = "22:40"
[[searched]]
position = "mole"
by = "Alex"
[[mark]]
cue = "1"
state = "seen or heard"
by = "Kim"
[[mark]]
cue = "2"
state = "did not go"
by = "Kim"
remark = "nothing in the sky"
[[mark]]
cue = "3"
state = "dealt with"
by = "Robin"
[[find]]
where = "grass"
what = "a star, burned out"
by = "Robin"
`

func TestSearch(t *testing.T) {
	r := record(t, cutShort(t), searched)
	if got := states4(r); !slices.Equal(got, []State{Seen, Dud, Dealt, Loaded}) {
		t.Errorf("%v", got)
	}
	var live []string
	for _, p := range r.Live() {
		live = append(live, p.Place()+": "+p.Words())
	}
	if want := []string{"Mole, by hand: still loaded (not reached): treat as live", "Mole, M1 pin 7: did not go, Kim: nothing in the sky"}; !slices.Equal(live, want) {
		t.Errorf("got  %q\nwant %q", live, want)
	}
	if r.Heading() != "2 pins to treat as live" || r.Closed() || r.Wait != 30*time.Minute {
		t.Errorf("%s, closed %v, wait %v", r.Heading(), r.Closed(), r.Wait)
	}
	all := record(t, cutShort(t), searched+"[[mark]]\ncue = \"4\"\nstate = \"dealt with\"\nby = \"Alex\"\n[[mark]]\ncue = \"2\"\nstate = \"dealt with\"\nby = \"Alex\"\n")
	if !all.Closed() || all.Heading() != "every position searched, no pin live" {
		t.Errorf("%s, closed %v", all.Heading(), all.Closed())
	}
}

func TestSearchRefuses(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"[[mark]]\ncue = \"9\"\nstate = \"did not go\"\nby = \"Kim\"", `line 1: found the cue "9"; wanted one of the session's`},
		{"[[searched]]\nposition = \"Pier\"\nby = \"Kim\"", `line 1: found the position "Pier"`},
		{"[[mark]]\ncue = \"4\"\nstate = \"seen or heard\"\nby = \"Kim\"", `found cue "4" as "seen or heard"; it was never commanded`},
		{"[[mark]]\ncue = \"4\"\nstate = \"gone\"\nby = \"Kim\"", `search.toml:3:1: found "gone" as state; wanted one of did not go, seen or heard, dealt with`},
		{"[[mark]]\ncue = \"4\"\nstate = \"did not go\"", "search.toml:1:3: found no by under [mark]"},
		{"[[find]]\nwhere = \"grass\"\nby = \"Kim\"", "search.toml:1:3: found no what under [find]"},
		{"wait_minutes = -1", "search.toml:1:1: found the number -1 as wait_minutes"},
	} {
		sr, err := ParseSearch("search.toml", strings.NewReader(c.text))
		if err == nil {
			_, err = New("night.jsonl", cutShort(t), sr)
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %s", c.text, err, c.want)
		}
	}
	if _, err := ParseSearch("format", strings.NewReader(Format)); err != nil {
		t.Errorf("the documented format: %v", err)
	}
}

func FuzzParseSearch(f *testing.F) {
	f.Add(searched)
	f.Add(Format)
	log := cutShort(f)
	f.Fuzz(func(t *testing.T, text string) {
		sr, err := ParseSearch("search.toml", strings.NewReader(text))
		if (sr == nil) == (err == nil) {
			t.Fatalf("%v and %v", sr, err)
		}
		if sr == nil {
			return
		}
		if r, err := New("night.jsonl", log, sr); err == nil && r.Pins[3].State == Commanded {
			t.Error("a search made a command of what was never commanded")
		}
	})
}

// Every pin is in one state, and every tally adds up to all of them, wherever the show
// was cut.
func TestTalliesAddUp(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := record(t, ran(t, do(0, show.Arm), do(0, show.Start), do(rapid.Float64Range(0, 9.9).Draw(rt, "cut"), show.Cut)), "")
		for _, by := range tallies {
			all, sum := 0, 0
			for _, row := range r.Tally(by.Of) {
				all += row.All
				for _, n := range row.Counts {
					sum += n
				}
			}
			if all != 4 || sum != 4 {
				rt.Errorf("by %s: %d in all, %d in states, want 4", by.Name, all, sum)
			}
		}
		if n := r.Count(Commanded) + r.Count(Loaded); n != 4 || len(r.Live()) != r.Count(Loaded) {
			rt.Errorf("%d, %d live", n, len(r.Live()))
		}
	})
}

// What was said at the console is told apart from what the crew said, and who disagrees is
// named; a search goes over both.
func TestWhoSaid(t *testing.T) {
	log := cutShort(t)
	said := func(cue int, saw show.Saw, member, role string) {
		log.Entries = append(log.Entries, session.Entry{N: int64(len(log.Entries) + 1), Wall: july, Heard: 7 * rate, Show: 7 * rate, State: show.Ended.String(),
			Kind: session.KindSaid, Data: session.Data{Saw: saw, Cue: log.Header.Cues[cue].ID, Index: &cue, Member: member, Role: role}})
	}
	said(0, show.SeenOrHeard, "Ben", "position:Quay")
	said(0, show.SeenOrHeard, "", "")
	said(1, show.SeenOrHeard, "", "")
	said(1, show.DidNotGo, "Sue", "spotter")
	r := record(t, log, "")
	var got []string
	for _, p := range r.Pins {
		got = append(got, p.Words())
	}
	want := []string{"seen or heard, by Ben (Quay) and at the console", "did not go, by Sue (spotter): seen or heard, at the console",
		"still loaded (stood down): treat as live", "still loaded (not reached): treat as live"}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	if p := record(t, log, searched).Pins[1]; p.Words() != "did not go, Kim: nothing in the sky" {
		t.Error(p.Words())
	}
}

// A log whose end is torn may know too little.
func TestTorn(t *testing.T) {
	log := cutShort(t)
	log.Torn = true
	if got := record(t, log, "").Heading(); !strings.Contains(got, "more may have been commanded") {
		t.Error(got)
	}
}

func TestWritten(t *testing.T) {
	r := record(t, cutShort(t), searched)
	var text, html, sheet, table bytes.Buffer
	if err := errors.Join(r.WriteText(&text), r.WriteHTML(&html), r.WriteSheet(&sheet), r.WriteCSV(&table)); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"2 pins to treat as live\n", "4 pins: 1 did not go, 1 still loaded, 1 seen or heard, 1 dealt with", "searched by Robin at 22:40", "found at grass: a star, burned out (Robin): NOT DEALT WITH", "by hand", Care} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("no %q in\n%s", want, &text)
		}
	}
	if strings.Contains(strings.ToLower(text.String()+html.String()+sheet.String()), "burst") {
		t.Error("what was commanded is called burst")
	}
	if got := strings.Count(sheet.String(), `<section class="position">`); got != 2 {
		t.Errorf("%d positions on the sheet, want 2", got)
	}
	rows, err := csv.NewReader(&table).ReadAll()
	if err != nil || len(rows) != 5 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	if want := []string{"night.jsonl", "4", "Mole", "", "", "'=silver", "", "still loaded", "not reached", "", ""}; !slices.Equal(rows[4], want) {
		t.Errorf("got  %q\nwant %q", rows[4], want)
	}
}
