package deck

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/playback/follow"
	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
)

// player is a leader that the test moves.
type player struct {
	now    follow.Now
	err    error
	closed int // how often
}

func (p *player) Look(time.Time) (follow.Now, error) { return p.now, p.err }
func (p *player) Step() (time.Duration, bool)        { return 0, false }
func (p *player) Waits() bool                        { return false }
func (p *player) Name() string                       { return "a player" }
func (p *player) Close() error                       { p.closed++; return nil }

// runs locks the player at a place.
func (p *player) runs(at time.Duration, again bool) {
	p.now.State, p.now.Place, p.now.Again = follow.Locked, at, again
	p.now.Locks++
}

// stops loses the code at the place where it is, or as a jump.
func (p *player) stops(why follow.Why) {
	p.now.State, p.now.Why = follow.Lost, why
	p.now.Loss = follow.Loss{N: p.now.Loss.N + 1, Why: why, Place: p.now.Place}
}

// newLedRig is a live rig that is led, with a cue every second.
func newLedRig(t *testing.T) (*rig, *player) {
	t.Helper()
	return ledRig(t, list(19, time.Second))
}

// ledRig is one with cues of the test's.
func ledRig(t *testing.T, cues []show.Cue) (*rig, *player) {
	t.Helper()
	r := newRig(t, &ramp{length: 20 * rate, breaksAt: math.MaxInt}, cues, "+0 arm", true)
	p := &player{}
	r.led = newLed(p, rate)
	r.Deck.out = r.led
	r.ask(show.Arm)
	return r, p
}

// ask does a command of the shooter's, and a turn of the loop.
func (r *rig) ask(a show.Action) {
	r.now = r.now.Add(time.Second) // no key repeats
	r.Command(show.Command{Action: a}, r.now)
	r.step()
}

// at lets the music get to a place.
func (p *player) at(r *rig, at time.Duration) {
	p.now.Place = at
	r.step()
}

func (r *rig) is(t *testing.T, state show.State, at time.Duration) {
	t.Helper()
	if r.t.State() != state || (r.t.Heard().At(rate)-at).Abs() > time.Millisecond {
		t.Errorf("%s at %v, want %s at %v (%s)", r.t.State(), r.t.Heard().At(rate), state, at, r.message.Text)
	}
}

// TestLeaderLeads: the player starts, holds and resumes at its places.
func TestLeaderLeads(t *testing.T) {
	r, p := newLedRig(t)
	p.runs(-2*time.Second, false)
	p.at(r, -time.Second)
	r.is(t, show.Armed, 0)
	p.at(r, 150*time.Millisecond)
	p.at(r, 3200*time.Millisecond)
	r.is(t, show.Running, 3200*time.Millisecond)
	p.stops(follow.Stopped)
	r.step()
	r.is(t, show.Held, 3200*time.Millisecond)
	p.runs(3100*time.Millisecond, true)
	r.step()
	r.is(t, show.Held, 3200*time.Millisecond) // not before the music is there
	p.at(r, 3210*time.Millisecond)
	p.at(r, 4500*time.Millisecond)
	r.is(t, show.Running, 4500*time.Millisecond)
	if r.t.Next() != 4 {
		t.Errorf("%d cues fired, want 4", r.t.Next())
	}
	r.Deck.log.drain()
	for _, want := range []string{`"by":"player","kind":"started"`, `"cause":"timecode stopped"`, `"by":"player","kind":"resumed"`, `"following":"locked"`, `"following":"lost"`} {
		if !strings.Contains(r.log.String(), want) {
			t.Errorf("the log has no %s", want)
		}
	}
}

// TestLeaderLosses: the log has each loss between two locks, also those of a run that
// stands still, at the place where it was lost.
func TestLeaderLosses(t *testing.T) {
	r, p := newLedRig(t)
	p.now.Music = true
	p.runs(-2*time.Second, false)
	p.at(r, -time.Second)
	p.stops(follow.Stopped) // armed
	r.step()
	p.runs(0, false)
	p.at(r, 100*time.Millisecond)
	p.at(r, 3200*time.Millisecond)
	p.stops(follow.Stopped) // running
	r.step()
	r.is(t, show.Held, 3200*time.Millisecond)
	p.runs(10*time.Second, false)
	r.step()
	p.stops(follow.Stopped) // held, and found again before the next look
	p.runs(12*time.Second, false)
	r.step()
	r.is(t, show.Held, 3200*time.Millisecond)
	r.Deck.log.drain()
	var told []string
	for line := range strings.Lines(r.log.String()) {
		var e session.Entry
		if err := json.Unmarshal([]byte(line), &e); err != nil {
			t.Fatal(err)
		}
		if e.Kind == session.KindFollowed {
			told = append(told, fmt.Sprintf("%s %g", e.Data.State, timebase.Frame(*e.Data.At).At(rate).Seconds()))
		}
	}
	want := []string{"locked -1", "lost -1", "locked 0.1", "lost 3.2", "locked 10", "lost 10", "locked 12"}
	if !slices.Equal(told, want) {
		t.Errorf("told %q, want %q", told, want)
	}
}

// TestLeaderStopsWin: a hold here ends what the player would do; only a person goes on
// then, and not before the music is at the place.
func TestLeaderStopsWin(t *testing.T) {
	r, p := newLedRig(t)
	p.runs(0, false)
	p.at(r, 5*time.Second/2)
	r.is(t, show.Armed, 0) // not from the middle
	p.at(r, 100*time.Millisecond)
	p.at(r, 2*time.Second)
	r.ask(show.Hold)
	r.is(t, show.Held, 2*time.Second)
	if r.message.Text != NotOurs {
		t.Errorf("said %q", r.message.Text)
	}
	// The player stops, and goes on from the very place: the hold stands.
	p.stops(follow.Stopped)
	r.step()
	p.runs(2*time.Second, true)
	p.at(r, 2*time.Second)
	r.is(t, show.Held, 2*time.Second)
	// The shooter agrees ahead of the music.
	p.at(r, time.Second)
	r.ask(show.Resume)
	r.is(t, show.Held, 2*time.Second)
	r.ask(show.Resume) // what is still up is asked about
	if want := "it resumes when the music is at 0:02.000, in 1.0 s"; r.message.Text != want {
		t.Errorf("said %q, want %q", r.message.Text, want)
	}
	p.at(r, 2010*time.Millisecond)
	r.is(t, show.Running, 2*time.Second)
	p.at(r, 2500*time.Millisecond)
	r.is(t, show.Running, 2500*time.Millisecond)
	// While the player holds, a hold takes the resume from it.
	p.stops(follow.Stopped)
	r.step()
	r.ask(show.Hold)
	p.runs(2500*time.Millisecond, true)
	p.at(r, 2510*time.Millisecond)
	r.is(t, show.Held, 2500*time.Millisecond)
}

// TestLeaderElsewhere: after a jump the show goes on only when that was asked for twice,
// and then where the music is, with what lies between still loaded.
func TestLeaderElsewhere(t *testing.T) {
	r, p := newLedRig(t)
	p.runs(0, false)
	p.at(r, 2500*time.Millisecond)
	p.at(r, 0)
	p.at(r, 2500*time.Millisecond)
	p.stops(follow.Jumped)
	p.runs(8500*time.Millisecond, false)
	r.step()
	r.is(t, show.Held, 2500*time.Millisecond)
	r.ask(show.Resume)
	r.is(t, show.Held, 2500*time.Millisecond)
	if !strings.Contains(r.message.Text, "up to 9 cues stay loaded; music at 0:08.5, show at 0:02.5") {
		t.Errorf("said %q", r.message.Text)
	}
	r.ask(show.Resume)
	p.at(r, 9100*time.Millisecond)
	r.is(t, show.Running, 9100*time.Millisecond)
	if loaded := r.t.Loaded(nil); len(loaded) != 6 || r.t.Fired(7) || !r.t.Fired(8) {
		t.Errorf("loaded: %v", loaded)
	}
	// Behind: it goes on by itself once the shooter has agreed and the music is back.
	p.stops(follow.Jumped)
	p.runs(4*time.Second, false)
	r.step()
	r.is(t, show.Held, 9100*time.Millisecond)
	p.at(r, 9100*time.Millisecond)
	r.is(t, show.Held, 9100*time.Millisecond)
	p.at(r, 5*time.Second)
	r.ask(show.Resume)
	r.ask(show.Resume)
	p.at(r, 9150*time.Millisecond)
	r.is(t, show.Running, 9100*time.Millisecond)
}

// TestLeaderEnds: the end of the music is the end of the show, and none of the player's
// holds, when nothing is left but what is in the air; before it, it is a hold.
func TestLeaderEnds(t *testing.T) {
	r, p := newLedRig(t)
	p.runs(0, false)
	p.at(r, 0)
	p.at(r, 20*time.Second-10*time.Millisecond)
	p.stops(follow.Stopped)
	r.step()
	r.now = r.now.Add(time.Second)
	r.step()
	if r.t.State() != show.Ended {
		t.Errorf("%s at %v", r.t.State(), r.t.Heard().At(rate))
	}
}

// TestLeaderGone: an input that goes away is a hold, and nothing resumes.
func TestLeaderGone(t *testing.T) {
	r, p := newLedRig(t)
	p.runs(0, false)
	p.at(r, 0)
	p.at(r, time.Second)
	p.err = errors.New("the sound input went away: unplugged")
	r.step()
	r.is(t, show.Held, time.Second)
	r.ask(show.Resume)
	r.is(t, show.Held, time.Second)
	r.Deck.log.drain()
	for _, want := range []string{`"cause":"sound input lost"`, `"error":"the sound input went away: unplugged"`, `"cause":"music not ours"`} {
		if !strings.Contains(r.log.String(), want) {
			t.Errorf("the log has no %s", want)
		}
	}
	p.err = io.EOF
	if got := (&session.Entry{Kind: session.KindFollowed, Data: session.Data{State: session.FollowGone, Error: "its end"}}).Words(rate, 0); got != "no more timecode: its end" {
		t.Error(got)
	}
}

// patient is a player of a file.
type patient struct {
	player
	looks int
}

func (p *patient) Waits() bool { return true }
func (p *patient) Look(at time.Time) (follow.Now, error) {
	p.looks++
	return p.player.Look(at)
}

// TestLeaderWaits: a file does not run before the show has been armed, and runs on then.
func TestLeaderWaits(t *testing.T) {
	r := newRig(t, &ramp{length: 20 * rate, breaksAt: math.MaxInt}, list(19, time.Second), "+0 arm", true)
	p := &patient{}
	r.led = newLed(p, rate)
	r.Deck.out = r.led
	r.step()
	if p.looks != 0 {
		t.Errorf("%d looks while safe", p.looks)
	}
	r.ask(show.Arm)
	r.ask(show.Cut)
	r.step()
	if p.looks < 2 {
		t.Errorf("%d looks after arming", p.looks)
	}
}

// TestLeaderAllocatesNothing in the loop while the music runs between two cues.
func TestLeaderAllocatesNothing(t *testing.T) {
	r, p := newLedRig(t)
	p.runs(0, false)
	p.at(r, 0)
	p.at(r, 100*time.Millisecond)
	place := timebase.Frame(100 * rate / 1000)
	if n := testing.AllocsPerRun(100, func() {
		place += 48
		p.now.Place = place.At(rate)
		r.lead()
		r.listen()
	}); n != 0 {
		t.Errorf("%g allocations a turn", n)
	}
}

// TestLedOn: a run that stands still may be gone on with by its player while that is there
// and has more, when the run is armed or held.
func TestLedOn(t *testing.T) {
	r, p := newLedRig(t)
	r.led.more = true
	may := func(want bool) {
		t.Helper()
		if r.ledOn() != want {
			t.Errorf("%s: %v", r.t.State(), !want)
		}
	}
	may(true)
	p.runs(0, false)
	p.at(r, 100*time.Millisecond)
	p.at(r, 3*time.Second)
	may(false)
	r.ask(show.Hold)
	may(true)
	r.led.more = false
	may(false)
	r.led.more, r.led.err = true, io.EOF
	may(false)
	r.led.err = nil
	r.ask(show.Cut)
	may(false)
	r.led = nil
	may(false)
}

// TestLeaderIsClosed: what a run followed is closed with it.
func TestLeaderIsClosed(t *testing.T) {
	r, p := newLedRig(t)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := r.Run(ctx); err != nil || p.closed != 1 {
		t.Errorf("closed %d times, %v", p.closed, err)
	}
}
