package report

import (
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/crew"
	"drylane/show/session"
)

// TestCrewLines: the debrief of a session that others took part in has a line for
// each of them, and that of any other has none.
func TestCrewLines(t *testing.T) {
	member := func(what crew.What, name, role string, change func(*session.Data)) session.Entry {
		d := session.Data{Crew: what, Member: name, Role: role}
		if change != nil {
			change(&d)
		}
		return session.Entry{By: show.ByCrew, Kind: session.KindCrew, Data: d}
	}
	after := func(d time.Duration) func(*session.Data) { return func(x *session.Data) { x.AfterNS = int64(d) } }
	held := func(by string) session.Entry {
		return session.Entry{By: show.ByCrew, Kind: show.EventHeld.String(), Data: session.Data{Member: by}}
	}
	log := &session.Log{Entries: []session.Entry{
		member(crew.HasJoined, "Ben", "position:Beacon", nil), member(crew.HasJoined, "Ada", "safety", nil), held("Ben"),
		member(crew.HasAnswered, "Ben", "position:Beacon", after(800*time.Millisecond)),
		member(crew.HasObjected, "Ada", "safety", nil), member(crew.HasJoined, "Cyd", "listener", nil),
		member(crew.HasRenamed, "Bob", "position:Beacon", func(d *session.Data) { d.Was = "Ben" }), held("Ada"),
		member(crew.HasAnswered, "Bob", "position:Beacon", after(2*time.Second)), member(crew.HasTapped, "Cyd", "listener", nil),
		member(crew.HasMissed, "Bob", "position:Beacon", func(d *session.Data) { d.Cue = "14" }), member(crew.IsLost, "Ada", "safety", nil),
		member(crew.WasRefused, "Eve", "trainer", nil), {Kind: session.KindCrew, Data: session.Data{Crew: crew.WrongCode}},
	}}
	r := &Run{Crew: log.Crew()}
	want := `Bob (Beacon): acknowledged 2 of 2 holds, after 0.8 s and 2.0 s; called HOLD once; told of cues that did not go: 14
Ada (safety): acknowledged none of 2 holds; called HOLD once; refused a resume once; lost once, NOT BACK when the log ended
Cyd (listener): acknowledged none of 1 hold; 1 tap`
	if got := strings.Join(r.CrewLines(), "\n"); got != want {
		t.Errorf("got\n%s\nwanted\n%s", got, want)
	}
	back := &session.Log{Entries: []session.Entry{
		member(crew.HasJoined, "Ben", "listener", nil), member(crew.IsLost, "Ben", "listener", nil), member(crew.WasStruckOff, "Ben", "listener", nil),
		member(crew.HasLeft, "Ben", "listener", nil), member(crew.HasJoined, "Ben", "listener", func(d *session.Data) { d.Place = "bridge" }),
		member(crew.HasTapped, "Ben", "listener", nil),
	}}
	if got, want := strings.Join((&Run{Crew: back.Crew()}).CrewLines(), "\n"), "Ben (listener): there in no hold; lost once; 1 tap at bridge"; got != want {
		t.Errorf("back on another machine: %q, want %q", got, want)
	}
	if lines := (&Run{}).CrewLines(); len(lines) > 0 {
		t.Errorf("a run that nobody joined: %q", lines)
	}
}
