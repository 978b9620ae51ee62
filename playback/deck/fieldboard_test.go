package deck

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/board"
	"drylane/show/session"
	"drylane/show/timebase"

	"pgregory.net/rapid"
)

// quay is a field of two modules, of which M1 does not answer. The walk is a minute
// each way, the work half a minute.
func quay() board.Field {
	device := func(name string) board.Device {
		return board.Device{Want: board.Want{Name: name, Position: "Quay", Pins: []int{1, 2}},
			Nominal: board.Nominal{SignalDB: 25, ChargeNeeded: 0.6}, Fix: board.Fix{Walk: time.Minute, Work: 30 * time.Second}}
	}
	return board.Field{Seed: 5, Devices: []board.Device{device("M1"), device("M2")}, Plants: []board.Plant{{Device: "M1", Fault: board.Missing}}}
}

// fieldRig is a rig whose run begins with the board.
func fieldRig(t *testing.T, script string) *rig {
	t.Helper()
	r := newRig(t, &ramp{length: rate, breaksAt: 1 << 40}, list(1, 500*time.Millisecond), script, script == "")
	r.cfg.Board = board.New(quay())
	r.openField()
	return r
}

// toldOf is the log so far, a line an entry.
func toldOf(t *testing.T, r *rig) (log *session.Log, lines []string) {
	t.Helper()
	r.Deck.log.drain()
	log, err := session.Read(bytes.NewReader(r.log.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	field := quay()
	log.Header.Field = &field
	for _, e := range log.Entries {
		lines = append(lines, strings.TrimSpace(fmt.Sprintf("%s %s %s: %s", timebase.Clock(e.Wall.Sub(ownEpoch)), e.By, e.Kind, e.Words(rate, rate))))
	}
	return log, lines
}

// An evening at the board: a fault named and put right, arming tried while somebody
// is out, and armed when they are back, on the run's own clock.
func TestFieldBoardByScript(t *testing.T) {
	r := fieldRig(t, `
+5   mark M1 weak link
+2   mark M1 missing
+3   mark M2 open pin
+1   mark M2 ok
+9   repair M1
+0   repair M1
+60  arm
+100 arm
+1   repair M2
+0   start
+3   mark M2 missing`)
	if err := r.Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	log, lines := toldOf(t, r)
	want := `0:00  board: 2 devices expected
0:05 script marked: M1 weak link
0:07 script marked: M1 missing
0:10 script marked: M2 open pin
0:11 script marked: M2 ok
0:20 script sent out: to M1, back in 2:30
0:20 script refused: cannot repair: somebody is at M1 already
1:20 script refused: cannot arm: somebody is in the field at M1, back in 1:30
2:50  back: from M1
3:00 script armed:
3:01 script refused: cannot repair: nobody goes into the field while the show is armed
3:01 script started:
3:01  fired:
3:02  ended:
3:04 script refused: cannot mark: a device is marked while the show is safe, and it is ended
3:04  closed:`
	if got := strings.Join(lines, "\n"); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if n, err := session.Replay(log); n != 1 || err != nil {
		t.Errorf("replayed %d, %v", n, err)
	}
	run, err := log.Field()
	if err != nil || !run.Armed || run.At != 3*time.Minute || run.Refused != 1 {
		t.Fatalf("%+v, %v", run, err)
	}
	const account = `Field board: 1 fault, 1 found, 1 named rightly
M1, missing: named rightly after 0:05.0, put right
armed with all of it put right`
	if got := strings.Join(run.Account().Words(run.Armed), "\n"); got != account {
		t.Errorf("by the log: %s", got)
	}
}

// Whatever is asked for, and when: while somebody is in the field the show is safe,
// nobody goes there once it has run, and the log can be done again.
func TestNothingIsArmedWithSomebodyOut(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := fieldRig(t, "")
		asks := rapid.SliceOfN(rapid.SampledFrom([]string{"arm", "start", "hold", "resume", "cut", "reset", "re-enter 0.2", "repair M1", "repair M2", "mark M2 missing", "mark M2 ok"}), 1, 30).Draw(rt, "asks")
		ran := false
		for _, text := range asks {
			step, err := show.ParseScript("", strings.NewReader("+0 "+text))
			if err != nil {
				rt.Fatal(err)
			}
			r.Do(step[0].Do, r.now)
			r.now = r.now.Add(time.Duration(rapid.Int64Range(0, int64(2*time.Minute)).Draw(rt, "wait")))
			before := len(r.field.b.Out(r.field.since(r.now)))
			if _, err := r.Deck.step(); err != nil {
				rt.Fatal(err)
			}
			out := r.field.b.Out(r.field.since(r.now))
			if len(out) > 0 && r.t.State() != show.Safe {
				rt.Fatalf("%s with %v in the field", r.t.State(), out)
			}
			if ran && len(out) > before {
				rt.Fatalf("%v went out after the show had run", out)
			}
			ran = ran || r.t.State() == show.Running
		}
		log, lines := toldOf(t, r)
		if _, err := log.Field(); err != nil {
			rt.Fatalf("%v:\n%s", err, strings.Join(lines, "\n"))
		}
	})
}

func TestNoFieldBoard(t *testing.T) {
	r := newRig(t, &ramp{length: rate, breaksAt: 1 << 40}, list(1, 500e6), "+0 repair M1", false)
	if err := r.Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	if e := entriesOf(t, r)[0]; e.Kind != session.KindRefused || e.Data.Text != "cannot repair: this run has no field board" {
		t.Errorf("%+v", e)
	}
}
