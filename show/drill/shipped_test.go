package drill

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/show/board"
	"drylane/show/makesafe"
	golist "drylane/show/ready"
	"drylane/show/session"
	"drylane/show/timebase"
	"drylane/testdata"
)

// The demo's music, in whole milliseconds: what its cue list is written in.
const (
	demoRate   = 1000
	demoLength = 135_000
)

// A dryRun plays an example's script to the transport and the director, a
// millisecond at a time, and writes the log that a console would.
type dryRun struct {
	t      *testing.T
	tr     *show.Transport
	dir    *Director
	log    *session.Writer
	header session.Header
	now    time.Time
	since  time.Time // of the hold
	last   time.Time // when the script's latest step was done
	list   []string  // the checklist of a hold
	ticked int       // ... lines of it, in this hold
	away   bool      // the sound device
	over   bool
	steps  []show.ScriptStep
	board  *board.Board // of the field; nil for none
	ready  *golist.List // nil when nobody is asked
	book   *makesafe.Book
}

// runExample returns the log of example e of d.
func runExample(t *testing.T, d *Drill, s *show.Show, e Example) *session.Log {
	t.Helper()
	x := d.Draw(e.Seed)
	cues := x.Cues(s)
	plan := show.NewPlan(cues, s.Console, demoRate, demoLength)
	start := time.Date(2030, 6, 1, 21, 0, 0, 0, time.UTC)
	r := &dryRun{t: t, tr: show.NewTransport(plan), dir: NewDirector(x, demoRate), now: start, last: start, list: s.Console.Checklist}
	r.header = session.Header{Program: "test", Title: s.Title, Began: start, Lanes: s.Console.Lanes,
		Soundtrack: session.Soundtrack{File: s.Soundtrack.File, Rate: demoRate, Frames: demoLength},
		GuardMS:    s.Console.Guard.Milliseconds(), LimitMS: s.Console.NudgeLimit.Milliseconds(), Together: &plan.Together,
		ByHand: session.ByHandOf(s.Positions), Cues: session.CuesOf(plan, cues), Drill: &session.Drill{Name: d.Name, Seed: e.Seed, File: d.Source}}
	if r.header.Field = x.Field(s, demoLength*time.Millisecond, nil); r.header.Field != nil {
		r.board = board.New(*r.header.Field)
	}
	if len(d.Ready) > 0 {
		r.header.Ready, r.ready = d.Ready, golist.New(d.Ready)
	}
	r.header.Safe, r.book = &session.Safe{WaitNS: int64(d.SafeWait(s))}, makesafe.New(d.SafeWait(s))
	var err error
	if r.steps, err = show.ParseScript(e.Name, strings.NewReader(e.Script)); err != nil {
		t.Fatal(err)
	}
	var buf bytes.Buffer
	if r.log, err = session.NewWriter(&buf, nil, r.header); err != nil {
		t.Fatal(err)
	}
	if r.board != nil {
		r.put(session.Entry{Kind: session.KindBoard})
	}
	for !r.done() {
		r.due()
		if !r.script() {
			r.tick()
		}
	}
	r.put(session.Entry{Kind: session.KindClosed})
	log, err := session.Read(&buf)
	if err != nil {
		t.Fatal(err)
	}
	return log
}

// done reports whether there is nothing left to do: the script has been played
// out and the music does not run, or the drill is over.
func (r *dryRun) done() bool {
	return r.over || len(r.steps) == 0 && r.tr.State() != show.Running
}

// tick lets a millisecond go by.
func (r *dryRun) tick() {
	r.now = r.now.Add(time.Millisecond)
	r.events(r.tr.Advance(r.tr.Heard()+1, nil))
}

// script does the next step of the script if it is due.
func (r *dryRun) script() bool {
	if len(r.steps) == 0 {
		return false
	}
	s := r.steps[0]
	if s.Wait >= 0 && r.now.Before(r.last.Add(s.Wait)) || s.Wait < 0 && r.tr.Heard() < timebase.FrameAt(s.At, demoRate) {
		if s.Wait < 0 && r.tr.State() != show.Running {
			r.t.Fatalf("line %d waits for %s of the music, which is %s at %d", s.Line, timebase.ClockMillis(s.At), r.tr.State(), r.tr.Heard())
		}
		return false
	}
	r.steps, r.last = r.steps[1:], r.now
	switch c := s.Do.Command; {
	case s.Do.Kind == show.KindMark, s.Do.Kind == show.KindRepair:
		r.atBoard(s.Do)
	case s.Do.Kind == show.KindAnswer:
		i, rest, _ := r.ready.Find(s.Do.Text)
		r.answer(show.ByScript, golist.Deed{Who: r.ready.Lines()[i].Who, Answer: s.Do.Answer, Reason: rest})
	case s.Do.Kind == show.KindEnter, s.Do.Kind == show.KindBack:
		r.inField(s.Do)
	case arms(c) && r.forbids(c) != show.NoCause:
		r.put(session.Entry{Kind: session.KindRefused, Data: session.Data{Asked: c.Action.String(), Cause: r.forbids(c)}})
	case arms(c) && r.board != nil && len(r.board.Out(r.now.Sub(r.header.Began))) > 0:
		r.put(session.Entry{Kind: session.KindRefused, Data: session.Data{Asked: c.Action.String(), Cause: show.CauseSomebodyOut}})
	case s.Do.Kind == show.KindSaw:
		i := slices.IndexFunc(r.header.Cues, func(c session.CueLine) bool { return c.ID == s.Do.Text })
		r.put(session.Entry{Kind: session.KindSaid, Data: session.Data{Saw: s.Do.Saw, Cue: s.Do.Text, Index: &i}})
	case s.Do.Kind == show.KindSilent:
		r.away = false
	case s.Do.Kind == show.KindTick:
		for more := true; more && r.ticked < len(r.list); more = s.Do.All {
			r.ticked++
			r.put(session.Entry{Kind: session.KindTicked, Data: session.Data{Count: r.ticked, Text: r.list[r.ticked-1]}})
		}
	case s.Do.Kind != show.KindCommand:
		r.put(session.Entry{Kind: session.KindNote, Data: session.Data{Text: s.Do.Text}})
	case c.Action == show.Resume && r.away:
		r.t.Fatalf("line %d resumes without a sound device", s.Line)
	default:
		r.do(c)
	}
	return true
}

// atBoard does a step at the field board.
func (r *dryRun) atBoard(a show.ScriptAction) {
	deed := board.Deed{At: r.now.Sub(r.header.Began), Act: board.Repair, Device: a.Text}
	kind := session.KindSentOut
	if a.Kind == show.KindMark {
		kind, deed.Act = session.KindMarked, board.Mark
		deed.Device, deed.Fault, _ = board.ParseMark(a.Text)
	}
	if err := r.board.Do(deed); err != nil {
		r.t.Fatal(err)
	}
	r.put(session.Entry{Kind: kind, Data: session.Data{Device: deed.Device, Fault: deed.Fault, SinceNS: int64(deed.At)}})
}

// answer takes an answer, if it says something new.
func (r *dryRun) answer(by show.By, d golist.Deed) {
	if _, err := r.ready.Give(d); err == nil {
		r.put(session.Entry{By: by, Kind: session.KindAnswered, Data: session.Data{Who: d.Who, Answer: d.Answer, Reason: d.Reason}})
	}
}

// inField lets somebody in or out.
func (r *dryRun) inField(a show.ScriptAction) {
	data, kind := session.Data{Who: a.Text}, session.KindBack
	var err error
	switch left := r.book.Left(r.now); {
	case a.Kind == show.KindBack:
		err = r.book.Back(a.Text, r.now)
	case left > 0 && !a.Command.Anyway:
		kind, data = session.KindRefused, session.Data{Asked: "enter", Cause: show.CauseWaiting}
	default:
		kind, data.LeftNS = session.KindEntered, int64(left)
		err = r.book.Enter(a.Text, r.now)
	}
	if err != nil {
		r.t.Fatal(err)
	}
	r.put(session.Entry{By: show.ByScript, Kind: kind, Data: data})
}

// arms reports whether a command would make the field live: the rules for an arming
// hold for a start from a place as well.
func arms(c show.Command) bool { return c.Action == show.Arm || c.Action == show.Reenter }

// forbids says why the show cannot be armed.
func (r *dryRun) forbids(c show.Command) show.Cause {
	switch {
	case len(r.book.In()) > 0:
		return show.CauseSomebodyOut
	case r.ready == nil || c.Anyway && len(r.ready.Against()) == 0 || r.ready.Next() < 0:
		return show.NoCause
	case len(r.ready.Against()) > 0:
		return show.CauseNoGo
	}
	return show.CauseWithoutGo
}

func (r *dryRun) do(c show.Command) {
	if c.Action == show.Resume {
		c.HeldFor = r.now.Sub(r.since)
		c.Open = show.Open{Unticked: len(r.list) - r.ticked, Up: len(r.tr.StillUp(c.HeldFor, nil))}
	}
	ev, err := r.tr.Do(c, r.tr.Heard(), nil)
	if err != nil {
		r.t.Fatal(err)
	}
	r.events(ev)
}

// due does the steps that are due.
func (r *dryRun) due() {
	for _, s := range r.dir.Due(View{State: r.tr.State(), Heard: r.tr.Heard(), Now: r.now}) {
		g := s.Group
		if s.Wants == WantStandDown {
			g = s.Of
		}
		r.put(session.Entry{Kind: session.KindDrill, Data: session.Data{Step: s.Name, Do: string(s.Do), From: s.From,
			Text: s.Text, Wants: string(s.Wants), GroupBy: g.By, Name: g.Name}})
		if a := s.Do.Answer(); a != show.NoAnswer {
			r.answer(show.ByEngine, golist.Deed{Who: s.From, Answer: a})
		}
		switch s.Do {
		case DeviceLost, DeviceBack:
			if r.away = s.Do == DeviceLost; r.away && r.tr.State() == show.Running {
				r.do(show.Command{Action: show.Hold, By: show.ByEngine, Cause: show.CauseDeviceLost})
			}
		case Over:
			r.over = true
			if st := r.tr.State(); st != show.Safe && st != show.Ended {
				r.do(show.Command{Action: show.Cut, By: show.ByEngine, Cause: show.CauseDrillOver})
			}
		}
	}
}

func (r *dryRun) events(ev []show.Event) {
	for _, e := range ev {
		if entry, ok := session.FromEvent(e, r.tr, r.header.Cues); ok {
			if e.Kind == show.EventArmed && r.ready != nil {
				entry.Data.Without = r.ready.Missing()
			}
			r.put(entry)
		}
		if e.Kind == show.EventCut || e.Kind == show.EventEnded {
			r.book.Safe(r.now)
		}
		if e.Kind == show.EventHeld {
			r.since, r.ticked = r.now, 0
		}
		r.dir.Saw(e.Kind, r.now)
	}
}

func (r *dryRun) put(e session.Entry) {
	e.Wall = r.now
	if e.Kind == session.KindDrill || e.Kind == session.KindNote || e.Kind == session.KindTicked || e.Kind == session.KindSaid {
		e.Heard, e.State = int64(r.tr.Heard()), r.tr.State().String()
	}
	if _, err := r.log.Append(e); err != nil {
		r.t.Fatal(err)
	}
	if why := session.Upsets(e.Kind, e.Data.Cause); r.ready != nil && why != golist.NoUpset {
		r.ready.Upset(why)
	}
}

// shipped are the drills that come along, and their show.
func shipped(t *testing.T) ([]*Drill, *show.Show) {
	t.Helper()
	demo, err := show.Load(testdata.Demo())
	if err != nil {
		t.Fatal(err)
	}
	drills, err := List(testdata.Drills())
	if err != nil {
		t.Fatal(err)
	}
	return drills, demo
}

// TestShippedDrills runs every example of the drills that come with drylane:
// each must get the marks that its file says, which were worked out by hand
// from the measures, and a good run must be told from a poor one.
func TestShippedDrills(t *testing.T) {
	drills, demo := shipped(t)
	levels := map[int]int{}
	for _, d := range drills {
		levels[d.Level]++
		if ps := d.Check(demo); len(ps) > 0 {
			t.Error(ps)
		}
		if d.Good == "" || d.Why == "" || len(d.Examples) != 2 {
			t.Errorf("%s: found %d examples, good %q, why %q", d.Name, len(d.Examples), d.Good, d.Why)
			continue
		}
		for _, e := range d.Examples {
			t.Run(d.Name+"/"+e.Name, func(t *testing.T) {
				res, err := FromLog(d.Name, runExample(t, d, demo, e))
				if err != nil {
					t.Fatal(err)
				}
				bad := res.Score != e.Score
				if bad {
					t.Errorf("got %d, want %d", res.Score, e.Score)
				}
				if bad || testing.Verbose() {
					tell(t, res)
				}
				if e.Seed == 0 || e.Says == "" {
					t.Error("wanted a seed and a word on it")
				}
			})
		}
		if good, poor := d.Examples[0].Score, d.Examples[1].Score; good < 90 || poor > 50 {
			t.Errorf("%s: the examples get %d and %d", d.Name, good, poor)
		}
	}
	if len(drills) < 15 || len(levels) != maxLevel {
		t.Errorf("%d drills of %d levels", len(drills), len(levels))
	}
}

// tell prints what a run came to.
func tell(t *testing.T, res *Result) {
	for _, m := range res.Moments {
		t.Logf("%9.3f %9.3f %-7s %s", m.Since.Seconds(), m.Heard.Seconds(), m.Kind, m.Text)
	}
	for _, l := range res.Lines {
		t.Logf("%5.1f of %5.1f  %-8s %s %s: %s", l.Points, l.Of, l.Grade, l.Kind, l.Step, l.Says)
	}
	t.Logf("score %d, %s", res.Score, res.Ended)
}
