package report

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/crew"
	"drylane/show/drift"
	"drylane/show/session"
	"drylane/show/timebase"
)

// heardAt is a session in which the cues come 200 ms late by the music, and three people
// tap when the music comes to where they stand, 0.3 and 0.6 s after the speakers made it,
// and one where nobody knows when.
func heardAt(t *testing.T) *rig {
	var cues []show.Cue
	at0 := []int64{5000, 8100, 10400, 13900, 15700, 18900, 20200, 23800, 25900, 28500, 31600, 33100, 36400}
	for i, ms0 := range at0 {
		cues = append(cues, show.Cue{ID: string(rune('A' + i)), EffectAt: ms(ms0), Position: "Quay", Effect: "gold comet"})
	}
	r := newRig(t, cues)
	r.header.Places = []session.Place{{Name: "main audience", MusicNS: int64(ms(300))}, {Name: "bridge", MusicNS: int64(ms(600))}}
	r.begin()
	member := func(f timebase.Frame, d session.Data) { r.say(session.KindCrew, f, d) }
	seat := func(name, place string, h *session.Habit) {
		member(0, session.Data{Crew: crew.HasJoined, Member: name, Role: "listener", Place: place, Habit: h})
	}
	habit := &session.Habit{BiasNS: int64(ms(-50)), ScatterNS: int64(ms(25)), Taps: 24}
	seat("Ada", "main audience", habit)
	seat("Ben", "bridge", habit)
	seat("Cyd", "", nil)
	r.must(show.Arm, 0)
	r.must(show.Start, 0)
	for i, ms0 := range at0 {
		off := []int64{-20, 0, 20}[i%3] - 200
		if i == 6 { // from here on under another name
			member(at(ms0-500), session.Data{Crew: crew.HasRenamed, Member: "Bob", Was: "Ben", Role: "listener"})
		}
		ben := "Ben"
		if i >= 6 {
			ben = "Bob"
		}
		for _, tap := range []struct {
			name string
			ms   int64
		}{{"Ada", ms0 + off + 300 - 50}, {"Cyd", ms0 + off}, {ben, ms0 + off + 600 - 50}} {
			f := int64(at(tap.ms))
			member(at(tap.ms+20), session.Data{Crew: crew.HasTapped, Member: tap.name, Role: "listener", At: &f, BoundNS: int64(2 * time.Millisecond)})
		}
	}
	r.play(at(40_000))
	return r
}

// TestPlaces: the taps of each listener are told by place and joined, whoever renames is
// one, and whose place nobody knows is told of and not joined.
func TestPlaces(t *testing.T) {
	s := NewSheet("night.jsonl", heardAt(t).run(), Person{})
	if len(s.Run.Listeners) != 3 || len(s.Run.Listeners[2].Taps) != 13 || s.Run.Listeners[2].Name != "Bob" {
		t.Fatalf("%d listeners, %+v", len(s.Run.Listeners), s.Run.Listeners[2])
	}
	var b bytes.Buffer
	if err := s.WriteDrift(&b); err != nil {
		t.Fatal(err)
	}
	want := `no taps at the console

listeners, by place  cues there    for the main audience  95 % between           taps  who
  main audience      0.10 s early  0.10 s early           0.14 and 0.06 s early  13    Ada
  bridge             0.40 s early  0.10 s early           0.14 and 0.06 s early  13    Bob
  Cyd, 13 taps, not joined: no place was told
suggest LATER 0.1 s for the main audience: the cues are 0.10 s early there (2 places, 26 taps, between 0.13 s early and 0.07 s early)
`
	if !strings.HasSuffix(b.String(), want) {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
	if s.Places.Verdict.Code != drift.Nudge || s.Places.Verdict.Nudge != ms(-100) {
		t.Errorf("%+v", s.Places.Verdict)
	}
	f, err := json.Marshal(s.Figures().Joined)
	if err != nil || !strings.HasPrefix(string(f), `{"for":"for the main audience","show":{"taps":26,"late_s":-0.09`) {
		t.Errorf("%s, %v", f, err)
	}
	page := pageOf(t, s)
	for _, want := range []string{"What listeners heard, by place", "bridge (Bob): cues 0.40 s early there"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page has no %q", want)
		}
	}
}

// The taps of whoever sits at the console are those of one more place, where the music is
// made; where the show lists no speaker nothing is said of the audience.
func TestPlacesWithTheConsole(t *testing.T) {
	r := heardAt(t)
	run := r.run()
	run.Taps = nil
	for _, tap := range run.Listeners[1].Taps { // Cyd's, who hears the music as it is made
		run.Taps = append(run.Taps, Tap{Heard: tap.Heard})
	}
	s := NewSheet("night.jsonl", run, Person{Name: "Robin", Calibrated: true, Scatter: ms(20), Taps: 24})
	p := s.Places.Places
	if len(p) != 3 || p[0].Name != crew.AtMusic || (p[0].There-ms(200)).Abs() > ms(10) || (p[0].For.Offset+ms(100)).Abs() > ms(10) {
		t.Errorf("%+v", p)
	}
	run.Header.Places = nil
	s = NewSheet("night.jsonl", run, Person{Name: "Robin", Calibrated: true, Scatter: ms(20), Taps: 24})
	if len(s.Places.Places) != 1 || !strings.HasPrefix(s.Places.Verdict.Text, "suggest EARLIER 0.2 s where the music is made: ") {
		t.Errorf("%+v", s.Places.Verdict)
	}
	if lines := strings.Join(s.PlaceLines(), "\n"); !strings.Contains(lines, "Ada (main audience), 13 taps, not joined: when the music comes there is not known") {
		t.Error(lines)
	}
}
