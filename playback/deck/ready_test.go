package deck

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/ready"
	"drylane/show/session"
	"drylane/show/timebase"

	"pgregory.net/rapid"
)

var asked = []show.Ask{{Who: "Field", What: "ready?"}, {Who: "Spotter", What: "ready?"}, {Who: "Sound", What: "ready?", Keeps: true}}

// readyRig is a rig whose run begins with a list of three and a waiting time of a minute.
func readyRig(t *testing.T, script string) *rig {
	t.Helper()
	r := newRig(t, &ramp{length: 8 * rate, breaksAt: 1 << 40}, list(8, time.Second), script, script == "")
	wait := time.Minute
	r.cfg.Ready, r.cfg.Safe = asked, &wait
	r.openReady()
	r.openSafe()
	return r
}

// readyLog is the log so far, a line an entry but for what cues do.
func readyLog(t interface{ Fatal(...any) }, r *rig) (log *session.Log, lines string) {
	r.Deck.log.drain()
	log, err := session.Read(bytes.NewReader(r.log.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	log.Header.Ready, log.Header.Safe = asked, &session.Safe{WaitNS: int64(time.Minute)}
	var list []string
	for _, e := range log.Entries {
		if e.Kind != "fired" {
			list = append(list, strings.TrimSpace(fmt.Sprintf("%s %s %s: %s", timebase.Clock(e.Wall.Sub(ownEpoch)), e.By, e.Kind, e.Words(rate, 8*rate))))
		}
	}
	return log, strings.Join(list, "\n")
}

// An evening from the first answer to the second arming, on the run's own clock: armed
// when all are go, cut, made safe, somebody in and back, and everybody asked again.
func TestReadyAndSafeByScript(t *testing.T) {
	r := readyRig(t, `
+1 go
+1 arm
+1 go sound
+1 no-go "Spotter" people at the fence
+1 arm anyway
+1 go Spotter
+1 enter Ada
+1 arm anyway
+9 back ada
+0 arm
+1 go
+1 go Spotter
+1 arm
+1 start
2.5 hold
+1 enter Ada
+1 cut
+10 enter Ada
+1 enter Ben anyway
+60 enter Ada
+20 back Ben
+1 re-enter 3
+1 back Ada
+1 re-enter 3
+1 re-enter 3 anyway
+1 no-go Field late
+1 start
+1 withdraw Field
+1 start
5 cut`)
	if err := r.Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	log, got := readyLog(t, r)
	want := `0:01 script answered: Field go
0:02 script refused: cannot arm yet: no go from Spotter and Sound; "anyway" behind it does it all the same
0:03 script answered: Sound go, out of turn: Spotter was next
0:04 script answered: Spotter no-go: people at the fence
0:05 script refused: cannot arm: no-go from Spotter (people at the fence)
0:06 script answered: Spotter go
0:07 script entered: Ada
0:08 script refused: cannot arm: Ada is in the field
0:17 script back: Ada
0:17 script refused: cannot arm yet: no go from Field and Spotter; "anyway" behind it does it all the same
0:18 script answered: Field go
0:19 script answered: Spotter go
0:20 script armed:
0:21 script started:
0:23 script held: 
0:24 script refused: cannot enter: nobody goes into the field while the show is held
0:25 script cut: 
0:35 script refused: cannot enter yet: 0:50 left to wait; "anyway" behind it does it all the same
0:36 script entered: Ben, with 0:49 of the waiting time left
1:36 script entered: Ada
1:56 script back: Ben
1:57 script refused: cannot re-enter: Ada is in the field
1:58 script back: Ada
1:59 script refused: cannot re-enter yet: no go from 3 of 3, Field is next; "anyway" behind it does it all the same
2:00 script re-entered: without go from Field, Spotter and Sound
2:01 script answered: Field no-go: late
2:02 script refused: cannot start: no-go from Field (late)
2:03 script answered: Field withdrawn
2:04 script started:
2:06 script cut: 
2:06  closed:`
	if got = strings.ReplaceAll(got, ": \n", ":\n"); got != strings.ReplaceAll(want, ": \n", ":\n") {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if _, err := session.Replay(log); err != nil {
		t.Error(err)
	}
	safe, err := log.MadeSafe()
	if err != nil || len(safe.Stops) != 2 || len(safe.Stops[0].Visits) != 2 || len(safe.Early) != 1 || len(safe.Urged) != 2 {
		t.Fatalf("%+v, %v", safe, err)
	}
	if v := safe.Stops[0].Visits[0]; v.Name != "Ben" || v.Left != 49*time.Second || v.Back.Sub(v.In) != 80*time.Second {
		t.Errorf("%+v", v)
	}
}

// The same at the keys: a second press within three seconds does what was refused, a
// press that repeats does not, and neither arms the show against a no-go or with
// somebody in the field.
func TestArmsWithoutGoWhenAskedTwice(t *testing.T) {
	for _, c := range []struct {
		name string
		do   func(press func(after time.Duration, text string))
		want show.State
	}{
		{"once", func(p func(time.Duration, string)) { p(0, "arm") }, show.Safe},
		{"twice", func(p func(time.Duration, string)) { p(0, "arm"); p(time.Second, "arm") }, show.Armed},
		{"repeating", func(p func(time.Duration, string)) { p(0, "arm"); p(30*time.Millisecond, "arm") }, show.Safe},
		{"too late", func(p func(time.Duration, string)) { p(0, "arm"); p(4*time.Second, "arm") }, show.Safe},
		{"an answer between", func(p func(time.Duration, string)) { p(0, "arm"); p(time.Second, "go"); p(time.Second, "arm") }, show.Safe},
		{"a cut between", func(p func(time.Duration, string)) { p(0, "arm"); p(time.Second, "cut"); p(time.Second, "arm") }, show.Safe},
		{"a no-go", func(p func(time.Duration, string)) {
			p(0, "no-go Spotter")
			p(time.Second, "arm")
			p(time.Second, "arm")
		}, show.Safe},
		{"somebody in", func(p func(time.Duration, string)) { p(0, "enter Ada"); p(time.Second, "arm"); p(time.Second, "arm") }, show.Safe},
		{"all go", func(p func(time.Duration, string)) {
			for range 3 {
				p(time.Second, "go")
			}
			p(0, "arm")
		}, show.Armed},
		{"a go that repeats", func(p func(time.Duration, string)) {
			for range 3 {
				p(30*time.Millisecond, "go")
			}
			p(0, "arm")
		}, show.Safe},
	} {
		r := readyRig(t, "")
		c.do(func(after time.Duration, text string) {
			step, err := show.ParseScript("", strings.NewReader("+0 "+text))
			if err != nil {
				t.Fatal(err)
			}
			r.now = r.now.Add(after)
			r.Do(step[0].Do, r.now)
			r.Step()
		})
		if got := r.Snapshot().Transport.State(); got != c.want {
			t.Errorf("%s: the show is %s, want %s", c.name, got, c.want)
		}
	}
}

// What was asked for before a cut and comes in after it is of before it: no go, nobody
// enters. A no-go counts whenever it comes.
func TestNothingOfBeforeACut(t *testing.T) {
	r := readyRig(t, "")
	ask := func(at time.Time, text string) {
		step, err := show.ParseScript("", strings.NewReader("+0 "+text))
		if err != nil {
			t.Fatal(err)
		}
		r.Do(step[0].Do, at)
		r.Step()
	}
	for _, who := range []string{"Field", "Spotter", "Sound"} {
		r.now = r.now.Add(time.Second)
		ask(r.now, "go "+who)
	}
	ask(r.now, "arm")
	before := r.now
	r.now = r.now.Add(time.Second)
	ask(r.now, "cut")
	ask(before.Add(500*time.Millisecond), "go Field")
	ask(before.Add(500*time.Millisecond), "enter Ada anyway")
	ask(before.Add(500*time.Millisecond), "no-go Sound hum")
	s := r.Snapshot()
	if got := s.Ready.Count(); got != "go 0 of 3, no-go: Sound" || len(s.Safe.Book.In()) != 0 {
		t.Errorf("%s, and %d in the field", got, len(s.Safe.Book.In()))
	}
}

// Whatever is asked for, and when: the show is safe while somebody is in the field, is
// never armed against a no-go, and the log can be done again.
func TestNobodyIsInALiveField(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := readyRig(t, "")
		for _, text := range rapid.SliceOfN(rapid.SampledFrom([]string{"arm", "arm anyway", "start", "hold", "resume anyway", "cut", "reset", "re-enter 0.2 anyway",
			"go", "go Spotter", "no-go Spotter wind", "withdraw Spotter", "enter Ada", "enter Ben anyway", "back Ada", "back Ben"}), 1, 40).Draw(rt, "asks") {
			step, err := show.ParseScript("", strings.NewReader("+0 "+text))
			if err != nil {
				rt.Fatal(err)
			}
			before := r.Snapshot().Transport.State()
			r.now = r.now.Add(time.Duration(rapid.Int64Range(0, int64(20*time.Second)).Draw(rt, "wait")))
			r.Do(step[0].Do, r.now)
			r.Step()
			s := r.Snapshot()
			state := s.Transport.State()
			if len(s.Safe.Book.In()) > 0 && state != show.Safe {
				rt.Fatalf("after %q somebody is in the field and the show is %s", text, state)
			}
			if before == show.Safe && state == show.Armed && slices.ContainsFunc(s.Ready.Lines(), func(l ready.Line) bool { return l.Answer == show.AnswerNoGo }) {
				rt.Fatalf("%q armed against a no-go", text)
			}
		}
		log, _ := readyLog(rt, r)
		if _, err := session.Replay(log); err != nil {
			rt.Fatal(err)
		}
	})
}
