package drill

import (
	"bytes"
	"fmt"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
)

const rate = 48000

// at is a moment of the music in frames.
func at(ms int64) timebase.Frame { return timebase.Frame(ms * rate / 1000) }

func ms(n int64) time.Duration { return time.Duration(n) * time.Millisecond }

// tb is what a rig needs of a test; *rapid.T has it, too.
type tb interface {
	Helper()
	Fatal(args ...any)
}

// A rig writes the log of a drill as the console's loop does: commands through
// a transport, what comes of them into the log.
type rig struct {
	t      tb
	tr     *show.Transport
	buf    bytes.Buffer
	w      *session.Writer
	header session.Header
	wall   time.Time
}

// newRig makes a show of one minute with a cue every two seconds from 4 s on,
// 28 of them, in turn at Left and Right, lit a second before their effect,
// which burns for a second. Left is on module L, Right on R.
func newRig(t tb) *rig {
	cues := make([]show.Cue, 28)
	for i := range cues {
		side := [...]string{"Left", "Right"}[i%2]
		cues[i] = show.Cue{ID: fmt.Sprint(i + 1), EffectAt: ms(4000 + 2000*int64(i)), Prefire: time.Second, Burn: time.Second,
			Position: side, Module: side[:1], Effect: "gold comet", Family: show.FamilyComet}
	}
	console := show.Console{Guard: show.DefaultGuard, NudgeLimit: show.DefaultNudgeLimit, Together: show.DefaultTogether}
	plan := show.NewPlan(cues, console, rate, at(60_000))
	r := &rig{t: t, tr: show.NewTransport(plan), wall: time.Date(2026, 7, 4, 21, 0, 0, 0, time.UTC)}
	r.header = session.Header{Program: "test", Title: "Quay Night", Began: r.wall, Output: "silence", Person: "Robin",
		Soundtrack: session.Soundtrack{File: "night.wav", Rate: rate, Frames: int64(at(60_000))},
		GuardMS:    150, LimitMS: 10_000, Together: &plan.Together, Cues: session.CuesOf(plan, cues), Drill: &session.Drill{Name: "quay", Seed: 7}}
	r.begin()
	return r
}

// begin writes the header, anew.
func (r *rig) begin() {
	r.t.Helper()
	r.buf.Reset()
	w, err := session.NewWriter(&r.buf, nil, r.header)
	if err != nil {
		r.t.Fatal(err)
	}
	r.w = w
}

func (r *rig) put(e session.Entry) {
	r.t.Helper()
	e.Wall = r.wall
	if _, err := r.w.Append(e); err != nil {
		r.t.Fatal(err)
	}
}

func (r *rig) events(ev []show.Event) {
	for _, e := range ev {
		if entry, ok := session.FromEvent(e, r.tr, r.header.Cues); ok {
			r.put(entry)
		}
	}
}

// play lets the music be heard up to a moment in milliseconds; the wall clock
// goes along.
func (r *rig) play(to int64) {
	if f := at(to); r.tr.State() == show.Running && f > r.tr.Heard() {
		r.wall = r.wall.Add(f.At(rate) - r.tr.Heard().At(rate))
		r.events(r.tr.Advance(f, nil))
	}
}

// wait lets time pass by the wall clock alone.
func (r *rig) wait(n int64) { r.wall = r.wall.Add(ms(n)) }

func (r *rig) do(c show.Command) {
	r.t.Helper()
	ev, err := r.tr.Do(c, r.tr.Heard(), nil)
	if err != nil {
		r.t.Fatal(err)
	}
	r.events(ev)
}

// start arms, waits two seconds and starts.
func (r *rig) start() {
	r.do(show.Command{Action: show.Arm})
	r.wait(2000)
	r.do(show.Command{Action: show.Start})
}

func (r *rig) hold(why string) { r.do(show.Command{Action: show.Hold, Reason: why}) }

// lose is the hold that the engine makes when the sound device is lost.
func (r *rig) lose() {
	r.do(show.Command{Action: show.Hold, By: show.ByEngine, Cause: show.CauseDeviceLost})
}

// resume resumes a hold that lasted n milliseconds.
func (r *rig) resume(n int64) {
	r.wait(n)
	r.do(show.Command{Action: show.Resume, HeldFor: ms(n)})
}

// press nudges by tenths of a second; positive = cues earlier.
func (r *rig) press(tenths ...int) {
	for _, n := range tenths {
		r.do(show.Command{Action: show.Nudge, Step: time.Duration(n) * 100 * time.Millisecond})
	}
}

func (r *rig) down(by, name string) {
	r.do(show.Command{Action: show.StandDown, Group: show.Group{By: by, Name: name}})
}

// step is a step of the drill.
func (r *rig) step(name string, do Deed, wants Want) {
	r.say(session.KindDrill, session.Data{Step: name, Do: string(do), From: "Left", Text: name + " said", Wants: string(wants)})
}

func (r *rig) say(kind string, d session.Data) {
	r.put(session.Entry{Heard: int64(r.tr.Heard()), State: r.tr.State().String(), Kind: kind, Data: d})
}

// end plays to the end of the show.
func (r *rig) end() {
	r.play(60_000)
	r.say(session.KindClosed, session.Data{})
}

// read returns the log as it is read back.
func (r *rig) read() *session.Log {
	r.t.Helper()
	log, err := session.Read(bytes.NewReader(r.buf.Bytes()))
	if err != nil {
		r.t.Fatal(err)
	}
	return log
}

// score scores the log as a run of x, by the measures.
func (r *rig) score(x *Exercise, measures ...Measure) *Result {
	r.t.Helper()
	x.Drill.Measures = measures
	res, err := Score(r.read(), x)
	if err != nil {
		r.t.Fatal(err)
	}
	return res
}

var _ tb = (testing.TB)(nil)
