package rehearsal

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/playback/crew"
	"drylane/playback/drills"
	"drylane/playback/knock"
	"drylane/playback/sessions"
	"drylane/playback/sink"
	"drylane/show"
	roles "drylane/show/crew"
	"drylane/show/session"
	"drylane/testdata"
	"drylane/testdata/reftest"
)

// byHand is a drill that a person drives.
func byHand(t *testing.T, change func(*Options)) *Run {
	t.Helper()
	t.Setenv("XDG_RUNTIME_DIR", t.TempDir())
	shelf := drills.Shelf{Shipped: testdata.Drills(), Demo: testdata.Demo()}
	d, dir, err := shelf.Find("position-late")
	if err != nil {
		t.Fatal(err)
	}
	l, err := shelf.Open(d, dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	x := NewExercise(t.Context(), d, 3)
	x.Plant(l)
	o := Options{Log: filepath.Join(t.TempDir(), "log.jsonl"), Drill: x, Out: sink.Place{Where: "silent", Speed: "1"}, Bangs: Bangs{Side: "off"}}
	if change != nil {
		change(&o)
	}
	r, err := New(l, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// joined joins by what a knock was answered with.
func joined(t *testing.T, join []byte, role roles.Kind) (*crew.Member, error) {
	t.Helper()
	i, err := crew.ReadInvitation(bytes.NewReader(join))
	if err != nil {
		t.Fatal(err)
	}
	a, err := crew.ParseAddress(i.Address)
	if err != nil {
		t.Fatal(err)
	}
	m, err := crew.Dial(t.Context(), crew.Join{Address: a, Code: i.Codes[role], Role: roles.Role{Kind: role}})
	if err == nil {
		t.Cleanup(m.Close)
	}
	return m, err
}

// TestTrainerAtThisMachine: a drill listens once somebody has knocked, on this machine and
// for trainers alone; what a trainer does there is in its log. At the end nothing is left.
func TestTrainerAtThisMachine(t *testing.T) {
	r := byHand(t, nil)
	stop := r.Go(t.Context())
	leave, err := r.LetTrainersIn(nil)
	if err != nil {
		t.Fatal(err)
	}
	path := knock.Named(fmt.Sprint(os.Getpid()))
	join, err := knock.Knock(t.Context(), path)
	if err != nil || !strings.Contains(string(join), `"127.0.0.1:`) || strings.Contains(string(join), "safety") {
		t.Fatalf("answered %s, %v", join, err)
	}
	if _, err := joined(t, join, roles.Safety); err == nil {
		t.Error("safety comes in by the door for trainers")
	}
	m, err := joined(t, join, roles.Trainer)
	if err != nil {
		t.Fatal(err)
	}
	await := func(what string, ok func(v crew.View) bool) {
		for limit := time.Now().Add(reftest.Patience); !ok(m.View()); time.Sleep(5 * time.Millisecond) {
			if time.Now().After(limit) {
				t.Fatalf("never came: %s; the view is %+v", what, m.View())
			}
		}
	}
	await("what is planned", func(v crew.View) bool {
		return v.Planned.Drill == "One position is late" && len(v.Planned.Planted) == 1
	})
	m.Do(roles.Fault, crew.Deed{Do: "music off"})
	await("the step", func(v crew.View) bool {
		return v.Answer.Done == "music off" && slices.ContainsFunc(v.Events, func(e session.Entry) bool { return e.Data.Do == "music off" && e.Data.Member == "Trainer" })
	})
	leave()
	await("the end", func(v crew.View) bool { return v.Over })
	if _, err := os.Stat(path); err == nil {
		t.Error("the notice is left behind")
	}
	if _, err := r.End(stop()); err != nil {
		t.Fatal(err)
	}
	log, err := sessions.Read(r.Log.Name())
	if err != nil || !slices.ContainsFunc(log.Entries, func(e session.Entry) bool {
		return e.Kind == session.KindDrill && e.By == show.ByInstructor && e.Data.When != nil
	}) {
		t.Errorf("the log tells nothing of it: %v", err)
	}
}

// TestTrainerByTheCrewsDoor: where the drill is open for a crew, a knock is answered with
// that door, and with the trainers' code alone. A drill that a script drives has no notice.
func TestTrainerByTheCrewsDoor(t *testing.T) {
	r := byHand(t, func(o *Options) { o.Crew = &Crew{Listen: "127.0.0.1:0"} })
	lead, err := r.LetCrewIn()
	if err != nil {
		t.Fatal(err)
	}
	defer lead.Close()
	d := &backDoor{run: r, lead: lead}
	join, err := d.open()
	if err != nil || d.own != nil || !strings.Contains(string(join), lead.Invitation().Address) || strings.Contains(string(join), lead.Invitation().Codes[roles.Safety]) {
		t.Errorf("answered %s, %v", join, err)
	}
	if _, err := r.End(nil); err != nil {
		t.Fatal(err)
	}
	scripted := byHand(t, func(o *Options) { o.Script = steps(t, "+1 arm\n") })
	leave, err := scripted.LetTrainersIn(nil)
	if err != nil {
		t.Fatal(err)
	}
	defer leave()
	if found, err := knock.Find(); err != nil || len(found) > 0 {
		t.Errorf("found %+v, %v", found, err)
	}
	if _, err := scripted.End(nil); err != nil {
		t.Fatal(err)
	}
}
