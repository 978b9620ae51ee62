package drill

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/timebase"

	"pgregory.net/rapid"
)

// At this rate a frame lasts a nanosecond, so that no moment is rounded.
const testRate = 1_000_000_000

var epoch = time.Date(2030, 6, 1, 20, 0, 0, 0, time.UTC)

// A played is a run told to a Director: music that runs or stands, and a wall
// clock.
type played struct {
	dir   *Director
	state show.State
	heard timebase.Frame
	now   time.Time
	got   []string // name@seconds since the epoch, as handed out
}

func newRun(x *Exercise) *played {
	r := &played{dir: NewDirector(x, testRate), now: epoch}
	r.ask()
	return r
}

func (r *played) view() View { return View{State: r.state, Heard: r.heard, Now: r.now} }

// ask asks what is due.
func (r *played) ask() {
	for _, s := range r.dir.Due(r.view()) {
		r.got = append(r.got, fmt.Sprintf("%s@%g", s.Name, r.now.Sub(epoch).Seconds()))
	}
}

// pass lets d go by.
func (r *played) pass(d time.Duration) {
	r.now = r.now.Add(d)
	if r.state == show.Running {
		r.heard += timebase.FrameAt(d, testRate)
	}
}

func (r *played) saw(kind show.EventKind) {
	switch kind {
	case show.EventArmed:
		r.state, r.heard = show.Armed, 0
	case show.EventStarted, show.EventResumed:
		r.state = show.Running
	case show.EventHeld:
		r.state = show.Held
	case show.EventCut:
		r.state = show.Safe
	case show.EventEnded:
		r.state = show.Ended
	}
	r.dir.Saw(kind, r.now)
}

var events = map[string]show.EventKind{"arm": show.EventArmed, "start": show.EventStarted, "hold": show.EventHeld,
	"resume": show.EventResumed, "stand": show.EventStoodDown, "cut": show.EventCut, "end": show.EventEnded, "nudge": show.EventNudged}

// play plays lines such as "arm 2 start 10 hold": events and the seconds
// between them. While time goes by, what is due is asked every tick.
func (r *played) play(script string, tick time.Duration) {
	for _, word := range strings.Fields(script) {
		if kind, ok := events[word]; ok {
			r.saw(kind)
			r.ask()
			continue
		}
		left, err := time.ParseDuration(word + "s")
		if err != nil {
			panic(err)
		}
		for left > 0 {
			d := min(left, tick)
			r.pass(d)
			r.ask()
			left -= d
		}
	}
}

func byMusic(name string, music time.Duration) Step {
	return Step{Name: name, When: Trigger{From: music, To: music}, Do: Radio}
}

func after(name, what string, wait time.Duration) Step {
	return Step{Name: name, When: Trigger{After: what, From: wait, To: wait}, Do: Radio}
}

// calls is a call by music.
func calls(name string, music time.Duration, wants Want) Step {
	s := byMusic(name, music)
	s.Wants = wants
	return s
}

func TestDirector(t *testing.T) {
	const s = time.Second
	tests := []struct {
		name   string
		until  time.Duration
		steps  []Step
		script string
		want   string
	}{
		{"nothing before it is armed", 0, []Step{after("a", "arm", 0), byMusic("b", 0)}, "5 arm 1", "a@5"},
		{"music from the start", 0, []Step{byMusic("a", 0), byMusic("b", 3*s)}, "arm 2 start 4", "a@2 b@5"},
		{"music stands in a hold", 0, []Step{byMusic("a", 3*s)}, "arm start 2 hold 10 resume 2", "a@13"},
		{"heard on the held frame", 0, []Step{byMusic("a", 2*s)}, "arm start 2 hold 10", "a@2"},
		{"by wall clock in a hold", 0, []Step{after("a", "hold", 4*s)}, "arm start 2 hold 3 resume 3", "a@6"},
		{"after the latest hold", 0, []Step{after("a", "hold", 4*s)}, "arm start 2 hold 3 resume 0.5 hold 9", "a@9.5"},
		{"after a step", 0, []Step{after("b", "a", 2*s), byMusic("a", 3*s)}, "arm start 3.5 hold 5", "a@3 b@5"},
		{"once", 0, []Step{after("a", "hold", s)}, "arm start 1 hold 2 resume 1 hold 2", "a@2"},
		{"after the others", 0, []Step{after("a", "resume", s), after("b", "stand down", s), after("c", "start", s)},
			"arm start 0.5 stand 2 hold 1 resume 2", "c@1 b@1.5 a@4.5"},
		{"nudges are nothing", 0, []Step{after("a", "hold", s)}, "arm start nudge 5", ""},
		{"afresh when armed again", 3 * s, []Step{byMusic("a", s), after("b", "arm", s)}, "arm start 2 cut 1 arm 5 start 3", "a@1 b@1 b@4 a@9 over@11"},
		{"afresh before anything came", 0, []Step{after("a", "arm", 3*s)}, "arm 2 arm 4", "a@5"},
		{"the cut ends the rest", 0, []Step{byMusic("a", s), after("b", "a", 5*s), after("c", "cut", 2*s), after("d", "c", s)}, "arm start 3 cut 9", "a@1 c@5 d@6"},
		{"the end ends the rest", 0, []Step{byMusic("a", s), after("b", "a", 5*s)}, "arm start 3 end 9", "a@1"},
		{"cut before the start", 0, []Step{after("a", "cut", s)}, "arm 1 cut 2", "a@2"},
		{"the drill is over", 3 * s, []Step{byMusic("a", 3*s), byMusic("b", 4*s), after("c", "a", s), after("d", "start", 9*s)}, "arm start 20", "a@3 over@3"},
		{"one moment", 0, []Step{after("b", "c", 0), byMusic("d", s), after("c", "a", s), byMusic("a", 0), byMusic("e", s), after("f", "start", s)},
			"arm start 3", "a@0 d@1 e@1 c@1 b@1 f@1"},
		{"the field is ready before arming", 0, []Step{after("ready", "opening", 4*s), after("b", "ready", 2*s)}, "9 arm start 2", "ready@4 b@6"},
		{"armed before the field is ready", 0, []Step{after("ready", "opening", 4*s)}, "1 arm 1 cut 5 arm 9", "ready@4"},
		{"a hold that answers no call", 0, []Step{calls("a", 5*s, WantHold), after("b", "hold", s)}, "arm start 2 hold 3 resume 4 hold 3", "a@8 b@10"},
		{"held when the call comes", 0, []Step{calls("a", 2*s, WantHold), after("b", "hold", s)}, "arm start 2 hold 3", "a@2 b@3"},
		{"on after a cut", 9 * s, []Step{
			calls("a", 2*s, WantCut), {Name: "dead", When: Trigger{From: s}, Do: Dead}, {Name: "off", When: Trigger{From: s}, Do: MusicOff},
			{Name: "on", When: Trigger{After: "cut", From: s}, Do: MusicOn}, after("gone by", "a", 4*s),
			{Name: "ready", When: Trigger{After: "cut", From: 2 * s}, Do: Radio, Wants: WantArm}, after("new", "new start", s)},
			"arm start 3 cut 9 arm 1 start 3 cut 2 arm start 1.5", "dead@1 off@1 a@2 on@4 ready@5 dead@12 new@14 dead@18"},
		{"over in its own time", 0, []Step{byMusic("a", s), {Name: "z", When: Trigger{After: "a", From: 2 * s}, Do: Over}, byMusic("b", 4*s)}, "arm start 20", "a@1 z@3"},
	}
	for _, tt := range tests {
		r := newRun(&Exercise{Drill: &Drill{Until: tt.until}, Steps: tt.steps})
		r.play(tt.script, 100*milli)
		if got := strings.Join(r.got, " "); got != tt.want {
			t.Errorf("%s:\n got %q\nwant %q", tt.name, got, tt.want)
		}
	}
}

// TestDirectorAskedRarely gives one long wait: what is due in it comes in the
// order of its moments, with what follows from it.
func TestDirectorAskedRarely(t *testing.T) {
	const s = time.Second
	r := newRun(&Exercise{Drill: &Drill{Until: 20 * s}, Steps: []Step{
		after("e", "d", 2*s), after("d", "c", 2*s), byMusic("c", 3*s), after("b", "start", 2*s), byMusic("z", 30*s), byMusic("a", s)}})
	r.saw(show.EventArmed)
	r.saw(show.EventStarted)
	r.pass(time.Minute)
	r.ask()
	if got := strings.Join(r.got, " "); got != "a@60 b@60 c@60 d@60 e@60 over@60" {
		t.Errorf("got %q", got)
	}
}

// exercises are random ones whose steps wait for the music, the trainee and
// each other.
func exercises(t *rapid.T) *Exercise {
	x := &Exercise{Drill: &Drill{Until: time.Duration(rapid.IntRange(0, 60).Draw(t, "until")) * time.Second}}
	n := rapid.IntRange(1, 8).Draw(t, "steps")
	names := append([]string{""}, traineeWords...)
	for i := range n {
		name := fmt.Sprint(i)
		wait := time.Duration(rapid.IntRange(0, 20_000).Draw(t, "wait")) * milli
		s := after(name, rapid.SampledFrom(names).Draw(t, "after"), wait)
		if rapid.IntRange(0, 9).Draw(t, "over") == 0 {
			s.Do = Over
		}
		x.Steps = append(x.Steps, s)
		names = append(names, name)
	}
	return x
}

// plays are random runs: what the trainee does, and milliseconds between.
func plays(t *rapid.T) (kinds []show.EventKind, waits []time.Duration) {
	state := show.Safe
	for range rapid.IntRange(1, 12).Draw(t, "acts") {
		can := map[show.State][]show.EventKind{
			show.Safe:    {show.EventArmed},
			show.Armed:   {show.EventStarted, show.EventStarted, show.EventStoodDown, show.EventCut},
			show.Running: {show.EventHeld, show.EventHeld, show.EventStoodDown, show.EventCut, show.EventEnded},
			show.Held:    {show.EventResumed, show.EventResumed, show.EventStoodDown, show.EventCut},
			show.Ended:   {show.EventReset},
		}[state]
		kind := rapid.SampledFrom(can).Draw(t, "act")
		kinds = append(kinds, kind)
		waits = append(waits, time.Duration(rapid.IntRange(0, 15_000).Draw(t, "for"))*milli)
		switch kind {
		case show.EventArmed:
			state = show.Armed
		case show.EventStarted, show.EventResumed:
			state = show.Running
		case show.EventHeld:
			state = show.Held
		case show.EventEnded:
			state = show.Ended
		case show.EventCut, show.EventReset:
			state = show.Safe
		}
	}
	return kinds, waits
}

// TestDirectorAskedInTheHold asks for the first time long after the music has
// stood still: what it had brought is put at its moment before the hold.
func TestDirectorAskedInTheHold(t *testing.T) {
	const s = time.Second
	r := newRun(&Exercise{Drill: &Drill{}, Steps: []Step{after("b", "a", 4*s), after("c", "hold", s), byMusic("a", s)}})
	r.saw(show.EventArmed)
	r.saw(show.EventStarted)
	r.pass(3 * s)
	r.saw(show.EventHeld)
	r.pass(10 * s)
	r.ask()
	if got := strings.Join(r.got, " "); got != "a@13 c@13 b@13" {
		t.Errorf("got %q", got)
	}
}

// TestDirectorHoweverOftenAsked plays the same run four times: asked only at
// the end of each stretch, only at its beginning, at random moments, and
// exactly where Next says that something is due.
func TestDirectorHoweverOftenAsked(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := exercises(t)
		kinds, waits := plays(t)
		apart(x, waits)
		rare, early, often, exact := newRun(x), newRun(x), newRun(x), newRun(x)
		for i, kind := range kinds {
			for _, r := range []*played{rare, early, often, exact} {
				r.saw(kind)
			}
			early.ask()
			early.pass(waits[i])
			rare.pass(waits[i])
			for left := waits[i]; left > 0; {
				d := min(left, time.Duration(rapid.IntRange(1, 60_000).Draw(t, "tick"))*milli)
				often.pass(d)
				often.ask()
				left -= d
			}
			exact.byNext(waits[i])
			for _, r := range []*played{rare, often, exact} {
				r.ask()
			}
			if kind == show.EventArmed || i+1 < len(kinds) && kinds[i+1] == show.EventArmed {
				early.ask() // an arming forgets what was not asked for
			}
		}
		early.ask()
		names := func(r *played) string {
			var list []string
			for _, g := range r.got {
				name, _, _ := strings.Cut(g, "@")
				list = append(list, name)
			}
			return strings.Join(list, " ")
		}
		if names(rare) != names(exact) || names(early) != names(exact) || names(often) != names(exact) {
			t.Errorf("asked rarely: %v\nearly: %v\noften: %v\nexactly: %v", rare.got, early.got, often.got, exact.got)
		}
	})
}

// apart lets no two things happen at the same moment: to each time it adds a
// bit of its own, below what the times are multiples of.
func apart(x *Exercise, waits []time.Duration) {
	bit := time.Nanosecond
	add := func(d *time.Duration) {
		*d = *d*16 + bit
		bit *= 2
	}
	for i := range x.Steps {
		add(&x.Steps[i].When.From)
		x.Steps[i].When.To = x.Steps[i].When.From
	}
	if x.Drill.Until > 0 {
		add(&x.Drill.Until)
	}
	for i := range waits {
		add(&waits[i])
	}
}

// byNext passes d, stopping to ask wherever Next says.
func (r *played) byNext(d time.Duration) {
	for end := r.now.Add(d); r.now.Before(end); {
		step := end.Sub(r.now)
		frame, at := r.dir.Next()
		if r.state == show.Running && frame != Never {
			step = min(step, max(0, (frame-r.heard).At(testRate)))
		}
		if !at.IsZero() {
			step = min(step, max(0, at.Sub(r.now)))
		}
		r.pass(step)
		had := len(r.got)
		r.ask()
		if step == 0 && len(r.got) == had {
			panic(fmt.Sprintf("nothing was due where Next said so: %v %v at %v %v", frame, at, r.heard, r.now))
		}
	}
}

// TestDirectorAgainstItsTriggers holds each step that comes against its own
// trigger, by the moments at which everything happened.
func TestDirectorAgainstItsTriggers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := exercises(t)
		kinds, waits := plays(t)
		r := newRun(x)
		when := map[string]time.Time{} // since the last arming, or the opening
		handed := 0
		check := func() {
			for ; handed < len(r.got); handed++ {
				name, _, _ := strings.Cut(r.got[handed], "@")
				i := slices.IndexFunc(x.Steps, func(s Step) bool { return s.Name == name })
				if !when[name].IsZero() {
					t.Errorf("step %s came twice", name)
				}
				when[name] = r.now
				if name == overName {
					if r.heard < timebase.FrameAt(x.Drill.Until, testRate) {
						t.Errorf("over at %d", r.heard)
					}
					continue
				}
				w := x.Steps[i].When
				if w.After == "" && r.heard != timebase.FrameAt(w.From, testRate) {
					t.Errorf("step %s came at %d of the music, not at %v", name, r.heard, w.From)
				}
				if w.After != "" && !r.now.Equal(when[w.After].Add(w.From)) {
					t.Errorf("step %s came at %v, not %v after %s at %v", name, r.now, w.From, w.After, when[w.After])
				}
			}
		}
		for i, kind := range kinds {
			if kind == show.EventArmed {
				maps.DeleteFunc(when, func(name string, _ time.Time) bool {
					k := named(x.Steps, name)
					return k < 0 || !follows(x.Steps, k, afterOpening)
				})
				when[afterOpening] = epoch
			}
			r.saw(kind)
			for word, k := range map[string]show.EventKind{"arm": show.EventArmed, "start": show.EventStarted, "hold": show.EventHeld,
				"resume": show.EventResumed, "stand down": show.EventStoodDown, "cut": show.EventCut} {
				if k == kind {
					when[word] = r.now
				}
			}
			for end := r.now.Add(waits[i]); r.now.Before(end); {
				r.ask()
				check()
				r.pass(milli)
			}
			r.ask()
			check()
		}
	})
}

// BenchmarkDue asks a director of fifty steps for what is due when nothing is,
// as the console's loop does two hundred times a second.
func BenchmarkDue(b *testing.B) {
	x := &Exercise{Drill: &Drill{Until: time.Hour}}
	for i := range 25 {
		name := fmt.Sprint(i)
		x.Steps = append(x.Steps, byMusic(name, time.Hour), after("after "+name, name, time.Second))
	}
	r := newRun(x)
	r.saw(show.EventArmed)
	r.saw(show.EventStarted)
	b.ReportAllocs()
	for b.Loop() {
		r.pass(5 * time.Microsecond)
		r.dir.Due(r.view())
	}
}
