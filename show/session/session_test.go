package session

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/timebase"

	"pgregory.net/rapid"
)

// doing takes commands at a moment of the music and logs what comes of them.
func doing(t *testing.T, w *Writer, tr *show.Transport, cues []CueLine) func(show.Command, timebase.Frame) {
	return func(c show.Command, at timebase.Frame) {
		t.Helper()
		ev, err := tr.Do(c, at, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range ev {
			if entry, ok := FromEvent(e, tr, cues); ok {
				if _, err := w.Append(entry); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
}

func sample(t *testing.T) []byte {
	t.Helper()
	cues := make([]show.Cue, 12)
	for i := range cues {
		cues[i] = show.Cue{ID: fmt.Sprintf("c%d", i), EffectAt: time.Duration(2*i+3) * 700 * time.Millisecond,
			Prefire: time.Duration(i%3) * 900 * time.Millisecond, Burn: time.Second, Position: "A"}
	}
	console := show.Console{Guard: show.DefaultGuard, NudgeLimit: show.DefaultNudgeLimit, Together: show.DefaultTogether}
	plan := show.NewPlan(cues, console, 44100, 44100*20)
	var buf bytes.Buffer
	h := Header{Program: "test", Soundtrack: Soundtrack{Rate: 44100, Frames: 44100 * 20},
		GuardMS: 150, LimitMS: 10000, Together: &plan.Together, Cues: CuesOf(plan, cues)}
	w, err := NewWriter(&buf, nil, h)
	if err != nil {
		t.Fatal(err)
	}
	tr := show.NewTransport(plan)
	do := doing(t, w, tr, h.Cues)
	do(show.Command{Action: show.Arm}, 0)
	do(show.Command{Action: show.Start}, 0)
	do(show.Command{Action: show.Nudge, Step: 300 * time.Millisecond}, 100_000)
	do(show.Command{Action: show.Nudge, Step: -700 * time.Millisecond}, 200_000)
	do(show.Command{Action: show.Hold, Reason: "wind"}, 220_000)
	do(show.Command{Action: show.Resume, HeldFor: 1234567891}, 220_000)
	do(show.Command{Action: show.StandDown, Group: show.Group{By: "position", Name: "A"}}, 300_000)
	do(show.Command{Action: show.BringBack, Group: show.Group{By: "position", Name: "A"}}, 400_000)
	do(show.Command{Action: show.Cut, Reason: "done"}, 700_000)
	if _, err := w.Append(Entry{Kind: KindClosed}); err != nil {
		t.Fatal(err)
	}
	return buf.Bytes()
}

func TestReplayAgrees(t *testing.T) {
	log, err := Read(bytes.NewReader(sample(t)))
	if err != nil || log.Torn {
		t.Fatal(err, log.Torn)
	}
	agreed, err := Replay(log)
	if err != nil || agreed < 10 {
		t.Errorf("%d events agreed, error %v", agreed, err)
	}
}

// TestReplayIsNotDrivenByTaps: a tap is stamped by an estimate, which may lie
// ahead of where the show was then held.
func TestReplayIsNotDrivenByTaps(t *testing.T) {
	cue := show.Cue{ID: "1", EffectAt: 6 * time.Second, Prefire: time.Second, Position: "A"}
	plan := show.NewPlan([]show.Cue{cue}, show.Console{Guard: show.DefaultGuard, NudgeLimit: show.DefaultNudgeLimit, Together: show.DefaultTogether}, 48000, 48000*10)
	tr := show.NewTransport(plan)
	var buf bytes.Buffer
	h := Header{Soundtrack: Soundtrack{Rate: 48000, Frames: 480000}, GuardMS: 150, LimitMS: 10000, Together: &plan.Together, Cues: CuesOf(plan, []show.Cue{cue})}
	w, err := NewWriter(&buf, nil, h)
	if err != nil {
		t.Fatal(err)
	}
	do := func(a show.Action, at timebase.Frame) {
		ev, err := tr.Do(show.Command{Action: a, HeldFor: 3 * time.Second}, at, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range ev {
			if entry, ok := FromEvent(e, tr, h.Cues); ok {
				w.Append(entry)
			}
		}
	}
	do(show.Arm, 0)
	do(show.Start, 0)
	w.Append(Entry{Heard: 240_096, Kind: KindTap}) // 2 ms after the ignition at 5 s
	do(show.Hold, 239_904)                         // 2 ms before it
	do(show.Resume, 239_904)
	do(show.Cut, 400_000)
	w.Append(Entry{Kind: KindClosed})
	log, err := Read(&buf)
	if err != nil {
		t.Fatal(err)
	}
	if agreed, err := Replay(log); err != nil || agreed != 1 {
		t.Errorf("%d events agreed, %v", agreed, err)
	}
}

// TestReplayNamesTheFirstDifference changes one firing by one frame.
func TestReplayNamesTheFirstDifference(t *testing.T) {
	log, _ := Read(bytes.NewReader(sample(t)))
	for i := range log.Entries {
		e := &log.Entries[i]
		if e.Kind == "fired" && e.Data.Cue == "c2" {
			e.Heard++
			_, err := Replay(log)
			var d *Difference
			if !errors.As(err, &d) || d.N != e.N || !strings.Contains(err.Error(), "cue c2 fired at frame") {
				t.Fatalf("got %v", err)
			}
			return
		}
	}
	t.Fatal("cue c2 is not in the session")
}

// TestAnyPrefixReads cuts a session at every byte.
func TestAnyPrefixReads(t *testing.T) {
	whole := sample(t)
	all, err := Read(bytes.NewReader(whole))
	if err != nil {
		t.Fatal(err)
	}
	header := bytes.IndexByte(whole, '\n') + 1
	for n := header; n <= len(whole); n++ {
		log, err := Read(bytes.NewReader(whole[:n]))
		if err != nil {
			t.Fatalf("%d bytes: %v", n, err)
		}
		lines := bytes.Count(whole[header:n], []byte("\n"))
		if len(log.Entries) != lines || log.Torn != (whole[n-1] != '\n') {
			t.Fatalf("%d bytes: %d events, torn %v; want %d", n, len(log.Entries), log.Torn, lines)
		}
		for i, e := range log.Entries {
			if e.N != all.Entries[i].N || e.Kind != all.Entries[i].Kind || e.Heard != all.Entries[i].Heard {
				t.Fatalf("%d bytes: event %d differs", n, i+1)
			}
		}
		if _, err := Replay(log); err != nil {
			t.Fatalf("%d bytes: %v", n, err)
		}
	}
	for n := range header {
		if _, err := Read(bytes.NewReader(whole[:n])); !errors.Is(err, ErrNotASession) {
			t.Fatalf("%d bytes of header: %v", n, err)
		}
	}
}

func TestReadErrors(t *testing.T) {
	whole := string(sample(t))
	lines := strings.SplitAfter(whole, "\n")
	for name, tt := range map[string]struct{ text, want string }{
		"not a session": {"hello\nworld\n", "not a drylane session"},
		"newer":         {strings.Replace(whole, `"drylane_session":3`, `"drylane_session":99`, 1), "format 99"},
		"garbage":       {lines[0] + lines[1] + "{]\n" + lines[2], "line 3: found \"{]\""},
		"gap":           {lines[0] + lines[1] + lines[3], "line 3: found event 3; wanted event 2"},
		"doubled":       {lines[0] + lines[1] + lines[1], "line 3: found event 1; wanted event 2"},
	} {
		if _, err := Read(strings.NewReader(tt.text)); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: got %v, want %q", name, err, tt.want)
		}
	}
}

// shortDisk takes a bounded number of bytes a write.
type shortDisk struct {
	bytes.Buffer
	room int
}

func (d *shortDisk) Write(p []byte) (int, error) {
	n := min(len(p), d.room)
	d.room -= n
	d.Buffer.Write(p[:n])
	if n < len(p) {
		return n, errors.New("no space left on device")
	}
	return n, nil
}

// TestFullDiskLosesNothing: whatever the moments at which the disk is full,
// the file is whole once there is room again.
func TestFullDiskLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		disk := &shortDisk{room: 1 << 20}
		w, err := NewWriter(disk, nil, Header{Soundtrack: Soundtrack{Rate: 1}})
		if err != nil {
			t.Fatal(err)
		}
		n := rapid.IntRange(1, 30).Draw(t, "events")
		for i := range n {
			disk.room = rapid.IntRange(0, 200).Draw(t, "room")
			w.Append(Entry{Kind: KindNote, Data: Data{Text: fmt.Sprint("note ", i)}})
		}
		disk.room = 1 << 20
		if _, err := w.Append(Entry{Kind: KindClosed}); err != nil {
			t.Fatal(err)
		}
		log, err := Read(&disk.Buffer)
		if err != nil || len(log.Entries) != n+1 || log.Torn {
			t.Fatalf("%d events read of %d: %v", len(log.Entries), n+1, err)
		}
	})
}

func FuzzRead(f *testing.F) {
	f.Add([]byte("{\"drylane_session\":1,\"soundtrack\":{\"rate\":1}}\n{\"n\":1,\"kind\":\"fired\"}\n"))
	f.Add([]byte("{\"drylane_session\":1,\"soundtrack\":{\"rate\":8000,\"frames\":9},\"cues\":[{\"cue\":\"1\"}]}\n{\"n\":1,\"kind\":\"armed\"}\n{\"n\":2,\"kind\":\"started\"}\n{\"n\":3,\"kind\":\"fired\",\"data\":{\"cue\":\"1\"}}\n"))
	for _, note := range []string{"the sound device went away: x", "listening to a, not the music, from 0:01.000", "beside the music: a was 3.0 ms late and has been put right"} {
		f.Add(fmt.Appendf(nil, "{\"drylane_session\":1,\"soundtrack\":{\"rate\":8000}}\n{\"n\":1,\"kind\":\"note\",\"data\":{\"text\":%q,\"hand\":true,\"by\":\"position\"}}\n", note))
	}
	f.Add([]byte("{\"drylane_session\":2,\"soundtrack\":{\"rate\":8000,\"frames\":9}}\n{\"n\":1,\"by\":\"engine\",\"kind\":\"held\",\"data\":{\"cause\":\"music ended early\"}}\n{\"n\":2,\"kind\":\"second output\",\"data\":{\"did\":\"overran\",\"frames\":3}}\n"))
	f.Add([]byte("{\"drylane_session\":3,\"soundtrack\":{\"rate\":8000,\"frames\":9},\"field\":{\"seed\":1,\"devices\":[{\"kind\":\"module\",\"name\":\"M1\",\"pins\":[1],\"walk_ns\":5}],\"faults\":[{\"device\":\"M1\",\"fault\":\"stray pin\"},{\"device\":\"X\",\"fault\":\"not planned\"}]}}\n" +
		"{\"n\":1,\"kind\":\"board\"}\n{\"n\":2,\"kind\":\"marked\",\"data\":{\"device\":\"M1\",\"fault\":\"late\"}}\n{\"n\":3,\"kind\":\"sent out\",\"data\":{\"device\":\"M1\"}}\n"))
	f.Add([]byte("{\"drylane_session\":3,\"soundtrack\":{\"rate\":8000,\"frames\":9},\"ready\":[{\"who\":\"Field\",\"asks\":\"x\"}],\"safe\":{\"wait_ns\":5}}\n" +
		"{\"n\":1,\"kind\":\"answered\",\"data\":{\"who\":\"Field\",\"answer\":\"no-go\",\"reason\":\"wind\"}}\n{\"n\":2,\"kind\":\"cut\",\"data\":{\"up\":2,\"last_up\":\"7\"}}\n{\"n\":3,\"kind\":\"entered\",\"data\":{\"who\":\"Ada\",\"left_ns\":4}}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		log, err := Read(bytes.NewReader(data))
		if err != nil {
			return
		}
		Replay(log) // must not panic, whatever the events say
		if run, err := log.Field(); err == nil && run != nil {
			run.Account().Words(run.Armed)
		}
		for _, e := range log.Entries {
			s := log.Header.Soundtrack
			if words := e.Words(s.Rate, timebase.Frame(s.Frames)); words != show.Clean(words) {
				t.Errorf("%q is not fit for a terminal", words)
			}
		}
	})
}
