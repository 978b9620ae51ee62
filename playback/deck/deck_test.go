package deck

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
)

const rate = 48000

// ramp is music whose frame i carries the number i on the left, so that a
// frame that is lost, repeated or doubled shows.
type ramp struct {
	pos, length, breaksAt int
	err                   error
}

func (r *ramp) Stream(samples [][2]float64) (int, bool) {
	n := 0
	for n < len(samples) && r.pos < min(r.length, r.breaksAt) {
		samples[n] = [2]float64{float64(r.pos), 0}
		r.pos++
		n++
	}
	return n, n > 0
}
func (r *ramp) Err() error       { return r.err }
func (r *ramp) Len() int         { return r.length }
func (r *ramp) Position() int    { return r.pos }
func (r *ramp) Seek(f int) error { r.pos = f; return nil }

// tape is an output that records what was heard and is played by the test:
// hear lets that many frames out. With ahead set it hears all at once.
type tape struct {
	heard, queue [][2]float64
	space        int
	all, playing bool
	broken       error
	holds        int
	closed       int
}

func (o *tape) Name() string           { return "tape" }
func (o *tape) Latency() time.Duration { return 20 * time.Millisecond }
func (o *tape) Underruns() int         { return 0 }
func (o *tape) Close() error           { o.closed++; return nil }
func (o *tape) Space() int             { return o.space - len(o.queue) }
func (o *tape) Write(f [][2]float64) error {
	if len(f) > o.Space() {
		return fmt.Errorf("wrote %d frames into space for %d", len(f), o.Space())
	}
	o.queue = append(o.queue, f...)
	if o.all {
		o.hear(len(o.queue))
	}
	return o.broken
}
func (o *tape) Start() error { o.playing = true; return o.broken }
func (o *tape) hear(n int) {
	n = min(n, len(o.queue))
	o.heard = append(o.heard, o.queue[:n]...)
	o.queue = append([][2]float64(nil), o.queue[n:]...)
}
func (o *tape) Heard() (int64, error) { return int64(len(o.heard)), o.broken }
func (o *tape) Hold() (int64, error) {
	o.queue, o.playing = nil, false
	o.holds++
	return int64(len(o.heard)), o.broken
}

// rig is a deck on a tape. The clock of a live one goes on by tick at each look.
type rig struct {
	*Deck
	out  *tape
	log  bytes.Buffer
	now  time.Time
	tick time.Duration
}

// show publishes all that has been done so far.
func (r *rig) show() {
	r.Deck.log.drain()
	r.publish()
}

// await steps until what another goroutine has to do is done; the clock stands.
func (r *rig) await(done func() bool) {
	tick := r.tick
	r.tick = 0
	for !done() {
		r.step()
	}
	r.tick = tick
}

// blip marks a bang on the right channel, where the ramp has nothing.
func blip(show.Family) []float64 { return []float64{1} }

func newRig(t *testing.T, music *ramp, cues []show.Cue, script string, live bool) *rig {
	t.Helper()
	console := show.Console{Guard: show.DefaultGuard, NudgeLimit: show.DefaultNudgeLimit, Together: show.DefaultTogether}
	plan := show.NewPlan(cues, console, rate, timebase.Frame(music.length))
	r := &rig{out: &tape{space: 4800, all: !live}}
	steps, err := show.ParseScript("script", strings.NewReader(script))
	if err != nil {
		t.Fatal(err)
	}
	h := session.Header{Began: ownEpoch, Soundtrack: session.Soundtrack{Rate: rate, Frames: int64(music.length)},
		GuardMS: 150, LimitMS: 10000, Together: &plan.Together, Cues: session.CuesOf(plan, cues)}
	w, err := session.NewWriter(&r.log, nil, h)
	if err != nil {
		t.Fatal(err)
	}
	cfg := Config{Plan: plan, Cues: cues, Music: music, Sound: blip, BangGain: [2]float64{0, 1},
		Output: r.out, Reopen: func() (playback.Output, error) { return r.out, nil },
		Log: w, LogCues: h.Cues, Script: steps, Speed: 1}
	if live {
		cfg.Script = nil
		r.now, r.tick = ownEpoch, time.Millisecond
		cfg.Now = func() time.Time { r.now = r.now.Add(r.tick); return r.now }
	}
	r.Deck = New(cfg)
	return r
}

func list(n int, every time.Duration) []show.Cue {
	cues := make([]show.Cue, n)
	for i := range cues {
		cues[i] = show.Cue{ID: fmt.Sprint(i + 1), EffectAt: time.Duration(i+1) * every, Position: "A", Burn: time.Second}
	}
	return cues
}

const script = `
+0   arm
+1   start
2.0  nudge earlier 0.3
3.05 hold smoke over the crowd
+4   nudge later 0.1
+1   resume
5.2  tap
6.0  stand down position A
7.0  bring back position A
+0.5 hold
+2.5 resume
`

func TestEveryReportAtItsFrame(t *testing.T) {
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, list(19, 500*time.Millisecond), script, false)
	if err := r.Run(context.Background()); err != nil {
		t.Fatal(err)
	}
	log, err := session.Read(bytes.NewReader(r.log.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	want := map[int]bool{}
	for _, e := range log.Entries {
		if e.Kind == show.EventFired.String() {
			want[int(*e.Data.Effect)] = true
		}
	}
	if len(want) != 17 { // 19 cues, two skipped while A was stood down
		t.Errorf("%d cues fired, want 17:\n%s", len(want), &r.log)
	}
	for f, s := range r.out.heard {
		if f < 10*rate && s[0] != float64(f) {
			t.Fatalf("frame %d heard where %d belongs", int(s[0]), f)
		}
		if (s[1] != 0) != want[f] {
			t.Fatalf("frame %d: bang %v, want %v", f, s[1], want[f])
		}
	}
	if n := len(r.out.heard); n != 10*rate {
		t.Errorf("%d frames heard of %d", n, 10*rate)
	}
	if agreed, err := session.Replay(log); err != nil || agreed != 19 {
		t.Errorf("replay: %d events agreed, %v", agreed, err)
	}
}

// TestHoldIsWhereTheDeviceStopped drives a live deck by hand: the device is
// always behind what was rendered, and a hold goes back to what was heard.
func TestHoldIsWhereTheDeviceStopped(t *testing.T) {
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, list(15, 100*time.Millisecond), "", true)
	do := func(a show.Action) {
		t.Helper()
		r.act(show.ByShooter, show.ScriptAction{Command: show.Command{Action: a}}, r.clock.Now(), r.t.Heard())
		r.step()
	}
	do(show.Arm)
	do(show.Start)
	for i := range 40 {
		r.out.hear(1711)
		r.step()
		if i%4 == 3 {
			at := r.t.Heard()
			r.out.hear(333) // heard between the deck's last look and the key
			do(show.Hold)
			if got := r.t.Heard(); got != at+333 {
				t.Fatalf("held at %d, the device stopped at %d", got, at+333)
			}
			r.command(show.Resume)
		}
	}
	effects := map[int]bool{}
	for i := range 15 {
		effects[int(r.t.EffectAt(i))] = true
	}
	for f, s := range r.out.heard {
		if s[0] != float64(f) {
			t.Fatalf("frame %d heard where %d belongs", int(s[0]), f)
		}
		if (s[1] != 0) != effects[f] {
			t.Fatalf("frame %d: bang is %v, want %v", f, s[1] != 0, effects[f])
		}
	}
	if r.out.holds != 10 {
		t.Errorf("%d holds", r.out.holds)
	}
}

func TestLostDeviceHolds(t *testing.T) {
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, list(15, 100*time.Millisecond), "", true)
	act := func(a show.Action) {
		r.act(show.ByShooter, show.ScriptAction{Command: show.Command{Action: a}}, r.clock.Now(), r.t.Heard())
	}
	act(show.Arm)
	act(show.Start)
	r.out.hear(3000)
	r.step()
	r.out.broken = fmt.Errorf("%w: the server closed the connection", playback.ErrDeviceGone)
	r.step()
	if r.t.State() != show.Held || r.t.Heard() != 3000 {
		t.Fatalf("%v at %d, want held at 3000", r.t.State(), r.t.Heard())
	}
	r.show()
	if s := r.Snapshot(); !s.Lost || !strings.Contains(s.Message.Text, "went away") {
		t.Errorf("lost %v, message %q", s.Lost, s.Message.Text)
	}
	r.Deck.log.drain()
	entries := entriesOf(t, r)
	if e := entries[len(entries)-2]; e.Kind != session.KindDevice || e.Data.Error != "the server closed the connection" {
		t.Errorf("before the hold the log has %s: %+v", e.Kind, e.Data)
	}
	if e := entries[len(entries)-1]; e.By != show.ByEngine || e.Kind != "held" || !reflect.DeepEqual(e.Data, session.Data{Cause: show.CauseDeviceLost, Due: []string{"1", "2"}}) {
		t.Errorf("held by %s: %+v", e.By, e.Data)
	}
	// The device stays away: resume is refused and says what can be done.
	gone := r.out
	r.cfg.Reopen = func() (playback.Output, error) { return nil, errors.New("no sound server") }
	r.cfg.Silent = func() playback.Output { r.out = &tape{space: 4800}; return r.out }
	act(show.Resume)
	if r.t.State() != show.Held || !strings.Contains(r.message.Text, "go on silent") {
		t.Errorf("%v, message %q", r.t.State(), r.message.Text)
	}
	r.act(show.ByShooter, show.ScriptAction{Kind: show.KindSilent}, r.clock.Now(), 0)
	act(show.Resume)
	r.out.hear(100)
	r.step()
	if r.out == gone || r.t.State() != show.Running || r.t.Heard() != 3100 || r.out.heard[0][0] != 3000 {
		t.Errorf("%v at %d, first frame %v", r.t.State(), r.t.Heard(), r.out.heard[0])
	}
}

func TestMusicThatEndsEarlyHolds(t *testing.T) {
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 4000}, list(5, time.Second), "", true)
	act := func(a show.Action) {
		r.act(show.ByShooter, show.ScriptAction{Command: show.Command{Action: a}}, r.clock.Now(), r.t.Heard())
	}
	act(show.Arm)
	act(show.Start)
	for range 5 {
		r.step()
		r.out.hear(1000)
	}
	if r.t.State() != show.Held || r.t.Heard() != 4000 || !strings.Contains(r.message.Text, "ended early") {
		t.Fatalf("%v at %d: %q", r.t.State(), r.t.Heard(), r.message.Text)
	}
	act(show.Resume)
	if r.t.State() != show.Held || !strings.Contains(r.message.Text, "no music after") {
		t.Errorf("resumed without music: %v, %q", r.t.State(), r.message.Text)
	}
	act(show.Cut)
	if r.t.State() != show.Safe {
		t.Errorf("%v after a cut", r.t.State())
	}
}

func TestScriptThatCannotGoOn(t *testing.T) {
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, list(3, time.Second), "+0 arm\n+0 start\n2 hold\n5 resume", false)
	err := r.Run(context.Background())
	if err == nil || !strings.Contains(err.Error(), "line 4 waits for 0:05.000 of the music, which is held at 0:02.000") {
		t.Errorf("got %v", err)
	}
}

// fullDisk takes bytes until it is full, and more once there is room again.
type fullDisk struct {
	bytes.Buffer
	full bool
}

func (f *fullDisk) Write(p []byte) (int, error) {
	if f.full {
		return 0, errors.New("no space left on device")
	}
	return f.Buffer.Write(p)
}

// TestFullDiskNeverHolds: a full disk is a warning for the screen; the run goes
// on, and what could not be written is written once there is room.
func TestFullDiskNeverHolds(t *testing.T) {
	disk := &fullDisk{}
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, list(15, 100*time.Millisecond), "", true)
	w, err := session.NewWriter(disk, nil, session.Header{Soundtrack: session.Soundtrack{Rate: rate}})
	if err != nil {
		t.Fatal(err)
	}
	r.Deck.log.close()
	var told []session.Entry
	r.Deck.log = startLog(w, func(e session.Entry) { told = append(told, e) }, func() {})
	disk.full = true
	act := func(a show.Action) {
		r.act(show.ByShooter, show.ScriptAction{Command: show.Command{Action: a}}, r.clock.Now(), r.t.Heard())
	}
	act(show.Arm)
	act(show.Start)
	r.out.hear(rate / 20)
	r.step()
	r.Deck.log.drain()
	r.show()
	if s := r.Snapshot(); s.LogErr == nil || s.Transport.State() != show.Running || s.Logged != 0 {
		t.Errorf("log error %v, state %v, %d events said to be on disk", s.LogErr, s.Transport.State(), s.Logged)
	}
	disk.full = false
	act(show.Hold)
	if err := r.Deck.log.close(); err != nil {
		t.Fatal(err)
	}
	log, err := session.Read(&disk.Buffer)
	if err != nil || len(log.Entries) < 3 || log.Entries[0].Kind != "armed" {
		t.Fatalf("read back %+v, %v", log, err)
	}
	if len(told) != len(log.Entries) {
		t.Fatalf("%d events were told of, %d are in the file", len(told), len(log.Entries))
	}
	for i, e := range log.Entries {
		if told[i].N != e.N || told[i].Kind != e.Kind {
			t.Errorf("event %d was told of as %d %s; it is %d %s", i, told[i].N, told[i].Kind, e.N, e.Kind)
		}
	}
}

// TestLateNudgeNearTheEnd: cues that a nudge moves beyond the end of the music
// fire all the same, in silence.
func TestLateNudgeNearTheEnd(t *testing.T) {
	cues := append(list(3, time.Second), show.Cue{ID: "last", EffectAt: 9500 * time.Millisecond, Prefire: 2 * time.Second, Position: "A"})
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, cues, "+0 arm\n+0 start\n5 nudge later 3.0", false)
	if err := r.Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	if s := r.Snapshot(); s.Transport.State() != show.Ended || s.Transport.Next() != 4 || s.Trouble {
		t.Errorf("%v, %d cues fired, trouble %v: %s", s.Transport.State(), s.Transport.Next(), s.Trouble, s.Message.Text)
	}
}

// TestCommandsDoNotOutrunTheDevice: a key that is stamped ahead of what the
// device then reports moves nothing ahead of it: the next hold is exact.
func TestCommandsDoNotOutrunTheDevice(t *testing.T) {
	r := newRig(t, &ramp{length: 10 * rate, breaksAt: 1 << 40}, list(5, time.Second), "", true)
	act := func(a show.Action) {
		r.act(show.ByShooter, show.ScriptAction{Command: show.Command{Action: a}}, r.clock.Now(), r.t.Heard())
	}
	act(show.Arm)
	act(show.Start)
	r.out.hear(3000)
	r.step()
	r.act(show.ByShooter, show.ScriptAction{Command: show.Command{Action: show.Nudge, Step: 100 * time.Millisecond}}, r.clock.Now(), 4700)
	act(show.Hold)
	if got := r.t.Heard(); got != 3000 {
		t.Fatalf("held at %d, the device stopped at 3000", got)
	}
	act(show.Resume)
	r.out.hear(100)
	if got := r.out.heard[3000][0]; got != 3000 {
		t.Errorf("the music goes on from frame %v", got)
	}
}

// Whoever keeps the time in Run's place sees after each turn what it did.
func TestStepShowsNow(t *testing.T) {
	t.Parallel()
	r := newRig(t, &ramp{length: 20 * rate, breaksAt: 1 << 40}, list(8, time.Second), script, false)
	for more, turns := true, 0; more; turns++ {
		var err error
		if more, err = r.Step(); err != nil {
			t.Fatal(err)
		}
		if got, want := r.Snapshot().Transport.Heard(), r.t.Heard(); got != want {
			t.Fatalf("turn %d shows frame %d; it was heard up to %d", turns, got, want)
		}
	}
	if s := r.Snapshot().Transport.State(); s != show.Ended {
		t.Errorf("ends %v", s)
	}
}
