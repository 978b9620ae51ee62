package show

import (
	"slices"
	"testing"
	"time"

	"drylane/show/timebase"

	"pgregory.net/rapid"
)

// An evening is a transport with all that it was asked and all that came of it.
type evening struct {
	t  *Transport
	ev []Event
}

func (e *evening) do(c Command, at timebase.Frame) error {
	ev, err := e.t.Do(c, at, nil)
	e.ev = append(e.ev, ev...)
	return err
}

// fired counts how often each cue has fired, by the events.
func (e *evening) fired() []int {
	n := make([]int, len(e.t.plan.Cues))
	for _, ev := range e.ev {
		if ev.Kind == EventFired {
			n[ev.Cue]++
		}
	}
	return n
}

// TestReentries: over an evening of starts, holds, nudges, stand-downs, cuts and re-entries
// no cue fires twice, and at its end each cue has fired or is told as still loaded, and
// never both.
func TestReentries(t *testing.T) {
	checkMany(t, 5000, func(t *rapid.T) {
		p := drawPlan(t)
		e := &evening{t: NewTransport(p)}
		e.do(Command{Action: Arm}, 0)
		for range rapid.IntRange(1, 6).Draw(t, "entries") {
			e.do(Command{Action: Start, Anyway: true}, 0)
			at := e.t.Heard()
			for range rapid.IntRange(0, 6).Draw(t, "acts") {
				at += timebase.FrameAt(time.Duration(rapid.IntRange(1, 8000).Draw(t, "ms"))*time.Millisecond, p.Rate)
				c := rapid.SampledFrom([]Command{{Action: Hold}, {Action: Resume, Anyway: true, HeldFor: time.Second},
					{Action: Nudge, Step: 2 * time.Second, Anyway: true}, {Action: Nudge, Step: -time.Second, Anyway: true},
					{Action: StandDown, Group: Group{LanesByPosition, "A"}}, {Action: BringBack, Group: Group{LanesByPosition, "A"}}}).Draw(t, "act")
				e.do(c, at) // refused as often as not
				at = e.t.Heard()
			}
			e.do(Command{Action: Cut}, at+p.Guard)
			from := timebase.Frame(rapid.Int64Range(0, int64(p.Length)-1).Draw(t, "from")).At(p.Rate)
			runUp := time.Duration(rapid.Int64Range(0, int64(30*time.Second)).Draw(t, "run-up"))
			if e.t.State() == Ended {
				e.do(Command{Action: Reset}, 0)
			}
			foretold := e.t.EntryAt(from, runUp)
			if err := e.do(Command{Action: Reenter, From: from, RunUp: runUp}, 0); err != nil {
				t.Fatal(err)
			}
			// What is foretold is what comes.
			if got := e.t.Loaded(nil); !slices.Equal(got, foretold.Skipped) && len(got)+len(foretold.Skipped) > 0 {
				t.Fatalf("loaded %v, foretold %v", got, foretold.Skipped)
			}
			if e.t.Heard() != foretold.Start || foretold.Start > timebase.FrameAt(from, p.Rate) {
				t.Fatalf("starts at %d, foretold %d for %v", e.t.Heard(), foretold.Start, from)
			}
			if e.t.State() != Armed {
				t.Fatalf("%v after a re-entry", e.t.State())
			}
		}
		e.do(Command{Action: Start, Anyway: true}, 0)
		e.do(Command{Action: Hold}, p.Length+timebase.FrameAt(time.Minute, p.Rate)) // too late for anything
		loaded := e.t.Loaded(nil)
		for i, n := range e.fired() {
			is := slices.Contains(loaded, i)
			if n > 1 || n == 1 == is && e.t.State() == Ended {
				t.Fatalf("cue %d fired %d times, still loaded: %v (%v)", i, n, is, e.t.State())
			}
			if (n == 1) != e.t.Fired(i) {
				t.Fatalf("cue %d fired %d times, and Fired says %v", i, n, e.t.Fired(i))
			}
		}
	})
}

// TestReentryFires: after a re-entry without a nudge each cue that had not fired, whose
// effect is at the place or behind it, and that can still ignite, fires at its very
// frame; no other does.
func TestReentryFires(t *testing.T) {
	checkMany(t, 3000, func(t *rapid.T) {
		p := drawPlan(t)
		e := &evening{t: NewTransport(p)}
		e.do(Command{Action: Arm}, 0)
		e.do(Command{Action: Start}, 0)
		e.do(Command{Action: Cut}, timebase.Frame(rapid.Int64Range(1, int64(p.Length)).Draw(t, "cut")))
		before := e.fired()
		from := timebase.Frame(rapid.Int64Range(0, int64(p.Length)-1).Draw(t, "from"))
		runUp := timebase.Frame(rapid.Int64Range(0, int64(p.Rate)*10).Draw(t, "run-up"))
		if e.t.State() != Safe {
			return // it had ended
		}
		n := len(e.ev)
		e.do(Command{Action: Reenter, From: from.At(p.Rate), RunUp: runUp.At(p.Rate)}, 0)
		e.do(Command{Action: Start, Anyway: true}, 0)
		e.t.Advance(e.t.Heard(), nil)
		ev := e.t.Advance(p.Length+timebase.FrameAt(time.Minute, p.Rate), nil)
		came := map[int]timebase.Frame{}
		for _, x := range append(e.ev[n:], ev...) {
			if x.Kind == EventFired {
				came[x.Cue] = x.At
			}
			if x.Kind == EventSkipped {
				t.Fatalf("cue %d was told as stood down", x.Cue)
			}
		}
		start := max(0, from-runUp)
		for i, c := range p.Cues {
			at, ok := came[i]
			want := before[i] == 0 && c.Effect >= from && c.Ignite >= start
			if ok != want || ok && at < c.Ignite {
				t.Fatalf("cue %d, ignited at %d and seen at %d, re-entry at %d from %d: fired %v at %d, want %v", i, c.Ignite, c.Effect, from, start, ok, at, want)
			}
		}
	})
}

// By hand: four cues at 1, 3, 5 and 7 s with a prefire of half a second, cut at 4 s: two
// have fired. Going on at 5 s with a run-up of 2 s the music begins at 3 s, and the third
// ignites 1.5 s later. Going on at 6 s it stays loaded.
func TestEntryAt(t *testing.T) {
	cues := []Cue{cueAt(1000, 500, "A"), cueAt(3000, 500, "A"), cueAt(5000, 500, "A"), cueAt(7000, 500, "A")}
	p := NewPlan(cues, testConsole, testRate, frame(10_000))
	r := started(p)
	if err := r.do(Command{Action: Cut}, frame(4000)); err != nil {
		t.Fatal(err)
	}
	e := r.t.EntryAt(5*time.Second, 2*time.Second)
	if e.Start != frame(3000) || e.Fires != 2 || len(e.Skipped) != 0 || e.First != p.Cues[2].Ignite-frame(3000) {
		t.Errorf("%+v", e)
	}
	e = r.t.EntryAt(6500*time.Millisecond, 0)
	if !slices.Equal(e.Skipped, []int{2}) || e.Fires != 1 {
		t.Errorf("%+v, want the third skipped", e)
	}
	if got := r.t.Loaded(nil); !slices.Equal(got, []int{2, 3}) {
		t.Errorf("loaded after the cut: %v", got)
	}
	if err := r.do(Command{Action: Reenter, From: 10 * time.Second}, 0); err == nil {
		t.Error("re-entered at the end of the music")
	}
	if err := r.do(Command{Action: Start}, 0); err == nil {
		t.Error("started from safe")
	}
	// Armed afresh everything is there again.
	if err := r.do(Command{Action: Reenter, From: 6500 * time.Millisecond}, 0); err != nil {
		t.Fatal(err)
	}
	if err := r.do(Command{Action: Cut}, 0); err != nil {
		t.Fatal(err)
	}
	if err := r.do(Command{Action: Arm}, 0); err != nil || r.t.Fired(0) || r.t.Out(2) || r.t.Heard() != 0 {
		t.Errorf("%v: fired %v, out %v, at %d", err, r.t.Fired(0), r.t.Out(2), r.t.Heard())
	}
}
