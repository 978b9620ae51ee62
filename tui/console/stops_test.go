package console

import (
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/deck"
	"drylane/playback/output"
	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
	"drylane/tui/internal/screentest"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// TestAStopAlwaysWins runs random keys, with up to 2 s between them, through the
// console and a deck on a clock of the test's, before a screen that takes nothing
// for up to 5 s at a time. Whatever starts, resumes, nudges or brings back, at any
// moment, must have been asked for by a key later than the latest hold or cut.
func TestAStopAlwaysWins(t *testing.T) {
	t.Parallel()
	cases := 100_000
	if testing.Short() {
		cases = 2000
	}
	workers := 2 * runtime.GOMAXPROCS(0)
	for w := range workers {
		t.Run(fmt.Sprint(w), func(t *testing.T) {
			t.Parallel()
			sh := stopsShow()
			seen := map[string]int{}
			for seed := w; seed < cases && !t.Failed(); seed += workers {
				r := newStopsRun(t, sh, uint64(seed))
				r.play()
				for _, e := range r.log {
					seen[e.Kind]++
				}
			}
			for _, kind := range []string{"armed", "started", "held", "resumed", "cut", "nudged", "stood down", "brought back", "refused", "fired"} {
				if seen[kind] == 0 {
					t.Errorf("nothing was ever %s", kind)
				}
			}
		})
	}
}

const stopsRate = 8000

// stopsShow is a short list of cues for a minute of music. None of them is up in a
// hold, so that a resume is asked for but once.
func stopsShow() *show.Show {
	sh := &show.Show{Title: "stops", Console: show.Console{Guard: show.DefaultGuard, NudgeLimit: show.DefaultNudgeLimit, Lanes: show.LanesByPosition}}
	for i := range 20 {
		sh.Cues = append(sh.Cues, show.Cue{ID: fmt.Sprint(i + 1), EffectAt: time.Duration(i+1) * time.Second, Burn: time.Millisecond, Position: []string{"A", "B", "C"}[i%3], Module: "M", Effect: "comet"})
	}
	return sh
}

// A stopsRun is one sequence of keys and what came of it.
type stopsRun struct {
	t      *testing.T
	rng    *rand.Rand
	seed   uint64
	prompt bool // the deck takes the keys of each read before the next comes
	events []stopsEvent
	keys   []stopsKey // those that have been pressed

	now    time.Time
	count  time.Duration
	deck   *deck.Deck
	screen *Screen
	log    []session.Entry // whole only after the run
	state  show.State
}

// A stopsEvent is a moment: keys come in together, the screen takes a message, or,
// with neither, the deck goes its round.
type stopsEvent struct {
	at   time.Time
	keys []string
	take bool
}

type stopsKey struct {
	name string
	at   time.Time
}

func newStopsRun(t *testing.T, sh *show.Show, seed uint64) *stopsRun {
	r := &stopsRun{t: t, seed: seed, rng: rand.New(rand.NewPCG(seed, 13)), now: screentest.Epoch}
	r.prompt = seed%2 == 0
	r.count = time.Duration(r.rng.IntN(4)) * time.Second
	plan := show.NewPlan(sh.Cues, sh.Console, stopsRate, timebase.FrameAt(time.Minute, stopsRate))
	cues := session.CuesOf(plan, sh.Cues)
	w, err := session.NewWriter(io.Discard, nil, session.Header{Soundtrack: session.Soundtrack{Rate: stopsRate}, Cues: cues})
	if err != nil {
		t.Fatal(err)
	}
	now := func() time.Time { return r.now }
	out := output.Silent(output.Options{Rate: stopsRate, Speed: 1}, now)
	r.deck = deck.New(deck.Config{Plan: plan, Cues: sh.Cues, Music: playback.NewSilence(int(plan.Length)), Output: out, CountIn: r.count,
		Log: w, LogCues: cues, OnEntry: func(e session.Entry) { r.log = append(r.log, e) }, Now: now, Speed: 1})
	r.screen = New(Setup{Show: sh, Plan: plan, Run: r.deck, Keys: stopsKeys, Look: screen.Look{Theme: screen.PlainTheme()}, Now: now})
	r.plan()
	return r
}

var stopsKeys = screen.MustKeymap(Keys)

// plan makes the events of a run: reads of one to three keys, the messages that the
// screen takes in its own time, and the rounds of the deck.
func (r *stopsRun) plan() {
	names := []string{"a", "enter", "enter", "enter", "space", "space", "backspace", "left", "right", "down", "d", "b"}
	if !r.prompt {
		names = append(names, "?", "?", "t")
	}
	at, free := r.now, r.now
	add := func(e stopsEvent) { r.events = append(r.events, e) }
	for range 2 + r.rng.IntN(9) {
		at = at.Add(r.gap())
		var keys []string
		for range 1 + r.rng.IntN(4)/2 + r.rng.IntN(4)/3 {
			keys = append(keys, names[r.rng.IntN(len(names))])
		}
		if len(r.events) == 0 {
			keys = append([]string{"a", "enter"}, keys...)[:1+r.rng.IntN(2)]
		}
		add(stopsEvent{at: at, keys: keys})
		if free = later(free, at); r.rng.IntN(3) == 0 {
			free = free.Add(time.Duration(r.rng.Int64N(int64(5 * time.Second))))
		}
		for range keys {
			add(stopsEvent{at: free, take: true})
		}
		round := at.Add(time.Microsecond) // keys of one read are nanoseconds apart
		if !r.prompt {
			round = at.Add(time.Duration(r.rng.Int64N(int64(400 * time.Millisecond))))
		}
		add(stopsEvent{at: round})
	}
	end := later(at, free).Add(4 * time.Second)
	for tick := r.now; tick.Before(end); tick = tick.Add(400 * time.Millisecond) {
		add(stopsEvent{at: tick})
	}
	slices.SortStableFunc(r.events, func(a, b stopsEvent) int { return a.at.Compare(b.at) })
}

// gap is the time between two reads: a hand's, a burst's or a link's that lags.
func (r *stopsRun) gap() time.Duration {
	most := []time.Duration{time.Millisecond, 50 * time.Millisecond, time.Second, 2 * time.Second}[r.rng.IntN(4)]
	return 10*time.Microsecond + time.Duration(r.rng.Int64N(int64(most)))
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// play goes through the events, and then judges.
func (r *stopsRun) play() {
	var sent []tea.Msg // to the screen
	for _, e := range r.events {
		r.now = e.at
		switch {
		case e.keys != nil:
			for i, k := range e.keys {
				stamp := e.at.Add(time.Duration(i))
				r.keys = append(r.keys, stopsKey{k, stamp})
				sent = append(sent, r.screen.Arrived(screen.Input{Key: k}, stamp))
			}
		case e.take:
			r.screen.Update(sent[0])
			r.screen.Update(r.screen.ticks.Now())
			sent = sent[1:]
		default:
			r.round()
		}
	}
	r.end()
	r.judge()
}

// round lets the deck go one round.
func (r *stopsRun) round() {
	if _, err := r.deck.Step(); err != nil {
		r.t.Fatal(err)
	}
	if r.state = r.deck.Snapshot().Transport.State(); r.state == show.Running {
		if asked, _ := r.asked("enter", r.now); asked == 0 {
			r.fail(fmt.Sprintf("running at %.4f", r.now.Sub(screentest.Epoch).Seconds()))
		}
	}
}

// end closes the log.
func (r *stopsRun) end() {
	r.deck.Quit()
	if err := r.deck.Run(context.Background()); err != nil {
		r.t.Fatal(err)
	}
}

// asked counts the keys of some names that came after the latest hold or cut, of
// all keys up to a moment, and says when that was.
func (r *stopsRun) asked(names string, until time.Time) (n int, stop time.Time) {
	for _, k := range r.keys {
		switch {
		case k.at.After(until):
			return n, stop
		case k.name == "space", k.name == "backspace":
			n, stop = 0, k.at
		case slices.Contains(strings.Fields(names), k.name):
			n++
		}
	}
	return n, stop
}

// judge holds the log against the keys: nothing came more often after a hold or a
// cut than it was asked for after it. When the deck was prompt it holds the end
// against what the keys should have come to.
func (r *stopsRun) judge() {
	by := map[string]string{"armed": "a", "started": "enter", "resumed": "enter", "nudged": "left right", "brought back": "b"}
	for i, e := range r.log {
		names, goesOn := by[e.Kind]
		if !goesOn {
			continue
		}
		asked, stop := r.asked(names, e.Wall)
		for _, done := range r.log[:i+1] {
			if done.Kind == e.Kind && !done.Wall.Before(stop) {
				asked--
			}
		}
		if asked < 0 {
			r.fail(fmt.Sprintf("%s at %.4f", e.Kind, e.Wall.Sub(screentest.Epoch).Seconds()))
		}
	}
	if want := r.expected(); r.prompt && r.state != want {
		r.fail(fmt.Sprintf("%v at the end in place of %v", r.state, want))
	}
}

// expected is the state that the keys lead to, taken read by read.
func (r *stopsRun) expected() show.State {
	state := show.Safe
	var until, entered time.Time // of the count-in
	for _, e := range r.events {
		if !until.IsZero() && !e.at.Before(until) {
			state, until = show.Running, time.Time{}
		}
		for i, k := range e.keys {
			rest := e.keys[i+1:]
			lost := slices.Contains(rest, "space") || slices.Contains(rest, "backspace")
			switch {
			case k == "space" && state == show.Running:
				state = show.Held
			case k == "space":
				until = time.Time{}
			case k == "backspace":
				state, until = show.Safe, time.Time{}
			case lost:
			case k == "a" && state == show.Safe:
				state = show.Armed
			case k == "enter" && state == show.Armed:
				state = show.Running
			case k == "enter" && state == show.Held:
				repeats := !until.IsZero() && e.at.Sub(entered) < 700*time.Millisecond
				switch entered = e.at; {
				case repeats:
				case !until.IsZero() || r.count == 0:
					state, until = show.Running, time.Time{}
				default:
					until = e.at.Add(r.count)
				}
			}
		}
	}
	return state
}

func (r *stopsRun) fail(what string) {
	r.t.Helper()
	var b strings.Builder
	for _, e := range r.events {
		if e.keys != nil {
			fmt.Fprintf(&b, "%8.4f %s\n", e.at.Sub(screentest.Epoch).Seconds(), strings.Join(e.keys, " "))
		} else if e.take {
			fmt.Fprintf(&b, "%8.4f the screen takes one\n", e.at.Sub(screentest.Epoch).Seconds())
		}
	}
	r.t.Fatalf("seed %d, count-in %v, prompt %v: %s, and no key since the latest hold or cut asked for that:\n%s",
		r.seed, r.count, r.prompt, what, &b)
}

// TestKeysBesideThePicture presses keys in a goroutine of their own while the
// screen draws: for the race detector, and the marked lane is what the keys made it.
func TestKeysBesideThePicture(t *testing.T) {
	t.Parallel()
	r := newStopsRun(t, stopsShow(), 1)
	r.screen.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	sent := make(chan tea.Msg, 100)
	go func() {
		defer close(sent)
		for i := range 400 {
			for _, k := range []string{"down", "down", "d", "v", "z", "up", "?", "esc", "/", "c", "enter", "space", "b"} {
				sent <- r.screen.Arrived(screen.Input{Key: k}, screentest.Epoch.Add(time.Duration(i)))
			}
		}
	}()
	for msg := range sent {
		r.screen.Update(msg)
		r.screen.View()
	}
	r.screen.catchUp()
	if r.screen.set != 400%3 || r.screen.mode != runMode {
		t.Errorf("lanes %d, mode %d", r.screen.set, r.screen.mode)
	}
	r.end()
}
