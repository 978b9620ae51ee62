package report

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

// A rig writes a session as the console's loop does: commands through a
// transport, what comes of them into the log.
type rig struct {
	t      testing.TB
	tr     *show.Transport
	buf    bytes.Buffer
	w      *session.Writer
	header session.Header
	wall   time.Time
}

// newRig makes a show of one minute with the cues.
func newRig(t testing.TB, cues []show.Cue) *rig {
	console := show.Console{Guard: show.DefaultGuard, NudgeLimit: show.DefaultNudgeLimit, Together: show.DefaultTogether}
	plan := show.NewPlan(cues, console, rate, at(60_000))
	r := &rig{t: t, tr: show.NewTransport(plan), wall: time.Date(2026, 7, 4, 21, 0, 0, 0, time.UTC)}
	r.header = session.Header{Program: "test", Title: "Quay Night", Began: r.wall, Output: "silence",
		Soundtrack: session.Soundtrack{File: "night.wav", Rate: rate, Frames: int64(at(60_000))},
		GuardMS:    150, LimitMS: 10_000, Together: &plan.Together, Cues: session.CuesOf(plan, cues)}
	r.begin()
	return r
}

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

func (r *rig) log1(ev []show.Event) {
	for _, e := range ev {
		if entry, ok := session.FromEvent(e, r.tr, r.header.Cues); ok {
			r.put(entry)
		}
	}
}

// play lets the music be heard up to f; the wall clock goes along.
func (r *rig) play(f timebase.Frame) {
	if r.tr.State() == show.Running && f > r.tr.Heard() {
		r.wall = r.wall.Add(f.At(rate) - r.tr.Heard().At(rate))
	}
	r.log1(r.tr.Advance(f, nil))
}

// do plays up to f and takes the command; a refused one is not logged.
func (r *rig) do(c show.Command, f timebase.Frame) error {
	r.play(f)
	ev, err := r.tr.Do(c, r.tr.Heard(), nil)
	r.log1(ev)
	return err
}

func (r *rig) must(a show.Action, f timebase.Frame) {
	r.t.Helper()
	if err := r.do(show.Command{Action: a}, f); err != nil {
		r.t.Fatal(err)
	}
}

// resume resumes a hold that lasted d.
func (r *rig) resume(d time.Duration) {
	r.t.Helper()
	r.wall = r.wall.Add(d)
	if err := r.do(show.Command{Action: show.Resume, HeldFor: d}, r.tr.Heard()); err != nil {
		r.t.Fatal(err)
	}
}

// say logs what is not a transport's event.
func (r *rig) say(kind string, f timebase.Frame, d session.Data) {
	r.play(f)
	r.put(session.Entry{Heard: int64(f), State: r.tr.State().String(), Kind: kind, Data: d})
}

func (r *rig) tap(f timebase.Frame) { r.say(session.KindTap, f, session.Data{}) }

// read returns the log as it is read back.
func (r *rig) read() *session.Log {
	r.t.Helper()
	log, err := session.Read(bytes.NewReader(r.buf.Bytes()))
	if err != nil {
		r.t.Fatal(err)
	}
	return log
}

func (r *rig) run() *Run {
	r.t.Helper()
	run, err := From(r.read())
	if err != nil {
		r.t.Fatal(err)
	}
	return run
}

// every is n cues, one every step from first on, with a prefire, in turn at
// Left and Right.
func every(n int, first, step, prefire int64) []show.Cue {
	cues := make([]show.Cue, n)
	for i := range cues {
		cues[i] = show.Cue{ID: fmt.Sprint(i + 1), EffectAt: ms(first + int64(i)*step), Prefire: ms(prefire), Burn: time.Second,
			Position: [...]string{"Left", "Right"}[i%2], Effect: "gold comet"}
	}
	return cues
}

// tapped is a run in which every cue was tapped late by the given time before
// its effect as listed, with a scatter of some 20 ms.
func tapped(t testing.TB, late func(c show.Cue) time.Duration) *rig {
	cues := make([]show.Cue, 20)
	when := int64(4000)
	for i := range cues {
		cues[i] = show.Cue{ID: fmt.Sprint(i + 1), EffectAt: ms(when), Position: [...]string{"Left", "Right"}[i%2]}
		when += 1900 + int64(i*i*311)%1700
	}
	r := newRig(t, cues)
	r.must(show.Arm, 0)
	r.must(show.Start, 0)
	for i, c := range cues {
		wobble := ms(int64(i*7%5-2) * 10)
		r.tap(timebase.FrameAt(c.EffectAt-late(c)+wobble, rate))
	}
	r.play(at(60_000))
	r.say(session.KindClosed, r.tr.Heard(), session.Data{})
	return r
}
