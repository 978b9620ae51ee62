package deck

import (
	"bytes"
	"context"
	"math"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/show/timebase"
)

// A plannedSteps is a Director with its steps by heart: by music time, or by
// the wall time since the last hold.
type plannedSteps struct {
	byMusic map[timebase.Frame]drill.Step
	inHold  map[time.Duration]drill.Step
	held    time.Time
}

func (p *plannedSteps) Saw(k show.EventKind, now time.Time) {
	if k == show.EventHeld {
		p.held = now
	}
}

func (p *plannedSteps) Due(v drill.View) (due []drill.Step) {
	for f, s := range p.byMusic {
		if v.Heard >= f {
			delete(p.byMusic, f)
			due = append(due, s)
		}
	}
	for d, s := range p.inHold {
		if !p.held.IsZero() && !v.Now.Before(p.held.Add(d)) {
			delete(p.inHold, d)
			due = append(due, s)
		}
	}
	return due
}

func (p *plannedSteps) Next() (timebase.Frame, time.Time) {
	next, at := timebase.Frame(math.MaxInt64), time.Time{}
	for f := range p.byMusic {
		next = min(next, f)
	}
	for d := range p.inHold {
		if t := p.held.Add(d); !p.held.IsZero() && (at.IsZero() || t.Before(at)) {
			at = t
		}
	}
	return next, at
}

func at(s float64) timebase.Frame { return timebase.Frame(s * rate) }

// entriesOf reads a rig's log.
func entriesOf(t *testing.T, r *rig) []session.Entry {
	t.Helper()
	log, err := session.Read(bytes.NewReader(r.log.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := session.Replay(log); err != nil {
		t.Fatalf("the log of a drill does not replay: %v", err)
	}
	return log.Entries
}

// TestEveryDeed runs a script against every deed: the music goes silent and
// its clock goes on, bangs of a dead group are missing and are fired all the
// same, and all of it is in the log at its frame.
func TestEveryDeed(t *testing.T) {
	cues := list(19, 500*time.Millisecond)
	for i := range cues {
		cues[i].Position = string(rune('A' + i%2)) // A at the odd half seconds
	}
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, cues, "+0 arm\n+0 start\n5.0 hold\n+6 resume\n", false)
	r.cfg.Director = &plannedSteps{
		byMusic: map[timebase.Frame]drill.Step{
			at(1): {Name: "silence", Do: drill.MusicOff},
			at(2): {Name: "sound", Do: drill.MusicOn},
			at(3): {Name: "dead", Do: drill.Dead, Group: show.Group{By: show.LanesByPosition, Name: "B"}},
			at(7): {Name: "alive", Do: drill.Alive, Group: show.Group{By: show.LanesByPosition, Name: "B"}},
			at(9): {Name: "over", Do: drill.Over},
		},
		inHold: map[time.Duration]drill.Step{4 * time.Second: {Name: "clear", Do: drill.Radio, From: "spotter", Text: "all clear", Wants: drill.WantResume}},
	}
	if err := r.Run(context.Background()); err != nil {
		t.Fatal(err)
	}
	for f, s := range r.out.heard {
		if silent := f >= rate && f < 2*rate; silent != (s[0] == 0) && f > 0 {
			t.Fatalf("frame %d: the music is %v", f, s[0])
		}
	}
	for i, c := range cues {
		f := int(timebase.FrameAt(c.EffectAt, rate))
		dead := c.Position == "B" && c.EffectAt > 3*time.Second && c.EffectAt < 7*time.Second+show.DefaultGuard
		if f < len(r.out.heard) && (r.out.heard[f][1] == 0) != dead {
			t.Errorf("cue %d at %v: bang %v, dead %v", i+1, c.EffectAt, r.out.heard[f][1], dead)
		}
	}
	if got := len(r.out.heard); got != 9*rate {
		t.Errorf("%d frames heard of a drill that is over after %d", got, 9*rate)
	}
	var told []string
	var held, cut time.Time
	fired := 0
	for _, e := range entriesOf(t, r) {
		switch e.Kind {
		case show.EventHeld.String():
			held = e.Wall
		case show.EventFired.String():
			fired++
		case show.EventCut.String():
			cut = e.Wall
			told = append(told, "cut by "+string(e.By)+": "+string(e.Data.Cause))
		case session.KindDrill:
			told = append(told, e.Data.Step+" "+timebase.ClockMillis(timebase.Frame(e.Heard).At(rate)))
			if e.Data.Step == "clear" && e.Wall.Sub(held) != 4*time.Second {
				t.Errorf("clear came %v after the hold", e.Wall.Sub(held))
			}
		}
	}
	want := "silence 0:01.000, sound 0:02.000, dead 0:03.000, clear 0:05.000, alive 0:07.000, over 0:09.000, cut by engine: drill over"
	if got := strings.Join(told, ", "); got != want {
		t.Errorf("got %s\nwant %s", got, want)
	}
	if fired != 18 || cut.IsZero() { // dead cues fire: only what they light does not go off
		t.Errorf("%d cues fired, want 18", fired)
	}
	if calls := r.Snapshot().Radio; len(calls) != 1 || calls[0].Text != "all clear" {
		t.Errorf("radio: %+v", calls)
	}
}

// TestDeviceTakenAway: a device that a drill takes away is lost like any
// other, and can be had again only when the drill gives it back.
func TestDeviceTakenAway(t *testing.T) {
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, list(15, 100*time.Millisecond), "", true)
	r.cfg.breakable(r.deviceAway)
	r.Deck.out = r.cfg.Output
	do := func(a show.Action) {
		r.act(show.ByShooter, show.ScriptAction{Command: show.Command{Action: a}}, r.clock.Now(), r.t.Heard())
		r.step()
	}
	do(show.Arm)
	do(show.Start)
	r.out.hear(3000)
	r.Instruct(drill.Step{Do: drill.DeviceLost}, session.Data{})
	r.step()
	if r.t.State() != show.Held || r.Deck.out != nil {
		t.Fatalf("the device was lost and the show is %v", r.t.State())
	}
	do(show.Resume)
	if r.t.State() != show.Held || r.refused != 1 {
		t.Errorf("resumed without a device")
	}
	r.out.heard = nil // a device that is opened anew counts from 0
	r.Instruct(drill.Step{Do: drill.DeviceBack}, session.Data{})
	r.step()
	do(show.Resume)
	if r.t.State() != show.Running || r.t.Heard() != 3000 {
		t.Errorf("the device is back and the show is %v at %d", r.t.State(), r.t.Heard())
	}
	do(show.Cut)
	r.Instruct(drill.Step{Do: drill.DeviceLost}, session.Data{})
	r.step()
	if do(show.Arm); r.deviceAway() {
		t.Error("another run begins without the device")
	}
}

// TestMutedMusicKeepsItsMeter: music that is silent in the field alone stays on
// the console's meter.
func TestMutedMusicKeepsItsMeter(t *testing.T) {
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, nil, "", true)
	r.Instruct(drill.Step{Do: drill.MusicOff}, session.Data{})
	for _, a := range []show.Action{show.Arm, show.Start} {
		r.act(show.ByShooter, show.ScriptAction{Command: show.Command{Action: a}}, r.clock.Now(), 0)
	}
	r.drillStep(show.ByInstructor, drill.Step{Do: drill.MusicOff}, session.Data{}) // arming made everything whole
	for range 4 {
		r.out.hear(3000)
		r.step()
	}
	r.show()
	if level := r.Snapshot().Level[0]; level < 6000 {
		t.Errorf("the meter shows %v of music that the console plays", level)
	}
	if s := r.out.heard[len(r.out.heard)-1]; s[0] != 0 {
		t.Errorf("%v heard of silent music", s[0])
	}
}

// TestDrillEndsOnce: the end of a drill cuts a run that goes on, and asks nothing of one
// that is safe already.
func TestDrillEndsOnce(t *testing.T) {
	var why string
	r, _ := crewRig(t, 0, &why)
	for range 2 {
		r.endDrill()
		if r.t.State() != show.Safe || !strings.Contains(r.message.Text, "drill") {
			t.Errorf("%s, %q", r.t.State(), r.message.Text)
		}
	}
	r.Deck.log.drain()
	cuts := 0
	for _, e := range entriesOf(t, r) {
		switch e.Kind {
		case show.EventCut.String():
			cuts++
		case session.KindRefused:
			t.Errorf("refused: %s", e.Data.Text)
		}
	}
	if cuts != 1 {
		t.Errorf("cut %d times", cuts)
	}
}
