package report

import (
	"bytes"
	"errors"
	"os"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/session"
)

// TestFrom follows one run that has everything, worked out by hand: cues at
// 4, 6, 8, ... 22 s with a second of prefire.
func TestFrom(t *testing.T) {
	r := newRig(t, every(10, 4000, 2000, 1000))
	r.must(show.Arm, 0)
	r.must(show.Start, 0)
	r.tap(at(4000))
	// Asked for at 5.2 s, the nudge would have cue 3 ignite at 4.0 s; the edge
	// of the guard, 5.35 s, is the earliest: 1.35 s late.
	r.do(show.Command{Action: show.Nudge, Step: 3 * time.Second}, at(5200))
	r.tap(at(5500))
	r.say(session.KindNote, at(6000), session.Data{Text: "gust\u202e of wind"})
	r.wall = r.wall.Add(ms(250))
	r.do(show.Command{Action: show.Hold, Reason: "wind"}, at(6400))
	r.resume(7 * time.Second)
	r.do(show.Command{Action: show.Nudge, Step: -3 * time.Second}, at(8000))
	r.do(show.Command{Action: show.StandDown, Group: show.Group{By: "position", Name: "Left"}}, at(12_500))
	r.do(show.Command{Action: show.Hold}, at(17_500))
	r.wall = r.wall.Add(4 * time.Second)
	r.do(show.Command{Action: show.Cut, Reason: "enough"}, at(17_500))
	r.say(session.KindClosed, at(17_500), session.Data{})

	run := r.run()
	if run.Number != 1 || run.Of != 1 || run.State != show.Safe || run.Heard != at(17_500) || !run.Closed || run.Torn {
		t.Errorf("run %d of %d, %s at %d, closed %v, torn %v", run.Number, run.Of, run.State, run.Heard, run.Closed, run.Torn)
	}
	wantCues := []struct {
		ending Ending
		nudge  int64 // ms
		late   int64 // ms
		moved  bool
	}{
		{Fired, 0, 0, false},
		{Fired, 0, 0, false},
		{Fired, 3000, 1350, false}, // cue 3: lit at 5.35 s, seen at 6.35 s, before the hold
		{Fired, 3000, 0, true},     // cue 4: lit at 6 s for 7 s, held at 6.4 s
		{Fired, 3000, 0, false},    // cue 5: 12 s less 3 s, so lit at 8 s
		{Fired, 0, 0, false},       // cue 6: 14 s
		{Skipped, 0, 0, false},     // cue 7, Left: lit at 15 s
		{Fired, 0, 0, false},       // cue 8, Right: lit at 17 s
		{Left, 0, 0, false},
		{Left, 0, 0, false},
	}
	for i, want := range wantCues {
		c := run.Cues[i]
		if c.Ending != want.ending || c.Nudge != ms(want.nudge) || c.Late != at(want.late) || c.Moved != want.moved {
			t.Errorf("cue %s: %s, nudge %s, %d ms late, moved %v; want %s, %d ms, %d ms, %v", c.ID, c.Ending, c.Nudge,
				c.Late*1000/rate, c.Moved, want.ending, want.nudge, want.late, want.moved)
		}
	}
	if c := run.Cues[8]; !c.Down || run.Cues[9].Down {
		t.Error("of the cues that were left, those of Left are stood down and no others")
	}
	if len(run.Taps) != 2 || run.Taps[0] != (Tap{at(4000), 0}) || run.Taps[1] != (Tap{at(5500), 3 * time.Second}) {
		t.Errorf("taps %v", run.Taps)
	}
	if len(run.Nudges) != 2 || run.Nudges[1] != (Nudge{at(8000), 3 * time.Second, 0}) {
		t.Errorf("nudges %v", run.Nudges)
	}
	wantHolds := []Hold{
		{Heard: at(6400), Reason: "wind", Length: 7 * time.Second, Prompt: "gust of wind", Reaction: ms(650)},
		{Heard: at(17_500), Length: 4 * time.Second, Open: true},
	}
	if len(run.Holds) != 2 || run.Holds[0] != wantHolds[0] || run.Holds[1] != wantHolds[1] {
		t.Errorf("holds %+v, want %+v", run.Holds, wantHolds)
	}
}

// TestEngineAnswersNothing: a hold of the engine's own answers no note and no
// call, and what the engine tells is no note of the trainee's, be the log of
// today's format or of the first.
func TestEngineAnswersNothing(t *testing.T) {
	r := newRig(t, every(10, 4000, 2000, 1000))
	r.must(show.Arm, 0)
	r.must(show.Start, 0)
	r.say(session.KindNote, at(6000), session.Data{Text: "the boat again?"})
	r.say(session.KindListening, at(6100), session.Data{Track: "calls.wav"})
	r.say(session.KindDevice, at(6200), session.Data{Error: "unplugged"})
	r.do(show.Command{Action: show.Hold, By: show.ByEngine, Cause: show.CauseDeviceLost}, at(6200))
	r.say(session.KindClosed, at(6200), session.Data{})

	old, err := os.ReadFile("../session/testdata/format1.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	log, err := session.Read(bytes.NewReader(old))
	if err != nil {
		t.Fatal(err)
	}
	runs, err := All(log)
	if err != nil || len(runs) != 2 || len(runs[0].Holds) != 3 {
		t.Fatalf("%d runs, %v", len(runs), err)
	}
	for name, run := range map[string]*Run{"today's": r.run(), "the first": runs[0]} {
		lost, notes := 0, 0
		for _, h := range run.Holds {
			if h.By == show.ByEngine {
				lost++
				if h.Reason != "the sound device went away" || h.Prompt != "" || h.Reaction != 0 {
					t.Errorf("%s: %q, prompt %q, reaction %v", name, h.Reason, h.Prompt, h.Reaction)
				}
			}
		}
		for _, m := range run.Marks {
			if m.Kind == session.KindNote {
				notes++
			}
		}
		if want := map[string]int{"today's": 1, "the first": 3}[name]; lost != 1 || notes != want {
			t.Errorf("%s: %d holds of the engine, %d notes; want 1 and the %d of the trainee", name, lost, notes, want)
		}
	}
	if h := runs[0].Holds[0]; h.Prompt != "gust of wind" || h.Reaction != ms(1150) {
		t.Errorf("the hold for the boat: prompt %q, reaction %v", h.Prompt, h.Reaction)
	}
}

// TestLastRunCounts: a session with two runs and a third that was armed only.
func TestLastRunCounts(t *testing.T) {
	r := newRig(t, every(10, 4000, 2000, 0))
	r.must(show.Arm, 0)
	r.must(show.Start, 0)
	r.tap(at(4000))
	r.must(show.Cut, at(9000))
	r.must(show.Arm, 0)
	r.do(show.Command{Action: show.Nudge, Step: ms(200)}, 0)
	r.must(show.Start, 0)
	r.tap(at(4100))
	r.tap(at(6100))
	r.must(show.Cut, at(7000))
	r.must(show.Arm, 0)
	r.say(session.KindClosed, 0, session.Data{})

	runs, err := All(r.read())
	if err != nil || len(runs) != 2 {
		t.Fatalf("%d runs, %v", len(runs), err)
	}
	if a := runs[0]; a.Number != 1 || a.Of != 2 || len(a.Taps) != 1 || a.Heard != at(9000) || a.Count(Fired) != 3 {
		t.Errorf("first run: %d of %d, taps %v, heard %d, fired %d", a.Number, a.Of, a.Taps, a.Heard, a.Count(Fired))
	}
	last := r.run()
	if last.Number != 2 || len(last.Taps) != 2 || last.Taps[0].Nudge != ms(200) || last.Count(Fired) != 2 {
		t.Errorf("last run: %d, taps %v, fired %d", last.Number, last.Taps, last.Count(Fired))
	}
	if !strings.Contains(last.Course(), "the last of 2 runs") {
		t.Errorf("course: %s", last.Course())
	}
}

func TestNothingStarted(t *testing.T) {
	r := newRig(t, every(3, 4000, 2000, 0))
	r.must(show.Arm, 0)
	r.say(session.KindNote, 0, session.Data{Text: "rain"})
	run := r.run()
	if run.Started() || run.Count(Left) != 3 || len(run.Marks) != 1 {
		t.Errorf("started %v, left %d, marks %v", run.Started(), run.Count(Left), run.Marks)
	}
}

// TestContradiction: a log that its own commands do not lead to is refused by
// event and cue.
func TestContradiction(t *testing.T) {
	r := newRig(t, every(3, 4000, 2000, 0))
	r.must(show.Arm, 0)
	r.must(show.Start, 0)
	r.play(at(9000))
	log := r.read()
	for i := range log.Entries {
		if log.Entries[i].Data.Cue == "2" {
			log.Entries[i].Heard++
		}
	}
	if _, err := From(log); err == nil || !strings.Contains(err.Error(), "cue 2 fired at frame 288001") {
		t.Errorf("got %v", err)
	}
	_, err := From(&session.Log{Header: log.Header, Entries: []session.Entry{{N: 1, Kind: "resumed"}}})
	if err == nil || !strings.Contains(err.Error(), "cannot resume") {
		t.Errorf("got %v", err)
	}
}

// TestAnyPrefix: a log that broke off at any line still makes a run.
func TestAnyPrefix(t *testing.T) {
	r := tapped(t, func(show.Cue) time.Duration { return ms(300) })
	whole := r.buf.Bytes()
	for n := bytes.IndexByte(whole, '\n') + 1; n < len(whole); n += 97 {
		log, err := session.Read(bytes.NewReader(whole[:n]))
		if err != nil {
			t.Fatal(err)
		}
		run, err := From(log)
		if err != nil {
			t.Fatalf("the first %d bytes: %v", n, err)
		}
		if run.Closed || len(run.Cues) != 20 {
			t.Fatalf("the first %d bytes: closed %v, %d cues", n, run.Closed, len(run.Cues))
		}
	}
}

// FuzzFrom: no file makes it panic, and what can be rebuilt can be printed.
func FuzzFrom(f *testing.F) {
	r := tapped(f, func(show.Cue) time.Duration { return ms(300) })
	f.Add(r.buf.Bytes())
	r = newRig(f, every(3, 2000, 1000, 500))
	r.must(show.Arm, 0)
	r.must(show.Start, 0)
	r.do(show.Command{Action: show.Hold, Reason: "<b>"}, at(1800))
	r.resume(time.Second)
	f.Add(r.buf.Bytes())
	f.Fuzz(func(t *testing.T, data []byte) {
		log, err := session.Read(bytes.NewReader(data))
		if err != nil || len(log.Header.Cues) > 200 || len(log.Entries) > 200 {
			return
		}
		run, err := From(log)
		if err != nil {
			return
		}
		s := NewSheet("fuzz", run, Person{})
		var out bytes.Buffer
		if err := (Page{Sheets: []*Sheet{s}}).WriteHTML(&out); err != nil {
			t.Fatal(err)
		}
		if strings.Contains(out.String(), "NaN") || strings.Contains(out.String(), "ZgotmplZ") {
			t.Fatal("a value could not be written")
		}
		if err := errors.Join(s.WriteDrift(&out), s.WriteTaps(&out, true)); err != nil {
			t.Fatal(err)
		}
	})
}
