package drill

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/session"
	"drylane/show/timebase"
	"drylane/show/words"
)

// A Moment is one thing on the timeline of a run.
type Moment struct {
	Since time.Duration // wall time since the start; negative before it
	Heard time.Duration // how much of the music
	Kind  MomentKind
	Text  string
	Hand  bool // the instructor did it
	// Wants is what a fault or call asked for. Answer is the place in
	// Result.Moments of what answered it, After the wall time until then;
	// Answer is -1 for a moment that asked for nothing or was not answered.
	Wants  Want
	Answer int
	After  time.Duration
}

// A MomentKind says whose doing a moment was.
type MomentKind string

// The kinds of moment.
const (
	IsFault  MomentKind = "fault"  // something broke, or was wrong from the start
	IsCall   MomentKind = "call"   // the radio
	IsAction MomentKind = "action" // the trainee
	IsRun    MomentKind = "run"    // the console by itself
)

// pressReach is how soon one press must follow another to stand with it on the
// timeline.
const pressReach = 2 * time.Second

// moments is the timeline: what was planted first, then the events in order.
// Single firings and taps are left out, presses in a row stand together.
func (s *scorer) moments() []Moment {
	var out []Moment
	for _, p := range s.x.Plants {
		out = append(out, Moment{Since: s.since(&s.events[0]), Kind: IsFault, Text: p.words(), Answer: -1})
	}
	out = append(out, s.boardMoments()...)
	place := map[int]int{} // of an event, in out
	var row []*event       // of presses
	for i := range s.events {
		e := &s.events[i]
		kind, said := s.describe(e)
		if said == "" {
			continue
		}
		if !e.follows(row) {
			row = nil
			out = append(out, Moment{Since: s.since(e), Heard: s.at(e), Kind: kind, Hand: e.By == show.ByInstructor && e.call(), Wants: wanted(e), Answer: -1})
		}
		if e.is(show.Arm) && s.tooEarly(i) {
			said += " before the field had reported ready"
		}
		if row = append(row, e); len(row) > 1 {
			said += ", " + words.Count(len(row), "press")
		}
		place[i] = len(out) - 1
		out[place[i]].Text = said
	}
	for call, i := range place {
		if at := s.answer(call); at >= 0 {
			out[i].Answer, out[i].After = place[at], max(0, s.events[at].Wall.Sub(s.events[call].Wall))
		}
	}
	return out
}

// tooEarly reports whether the arming at place i came before the report for which it
// had to wait: since the last cut, or the opening.
func (s *scorer) tooEarly(i int) bool {
	cut := false
	for k := i - 1; k >= 0 && !cut; k-- {
		if s.events[k].wants(WantArm) {
			return false
		}
		cut = s.events[k].is(show.Cut)
	}
	return slices.ContainsFunc(s.x.Steps, func(st Step) bool {
		return st.Wants == WantArm && cut == follows(s.x.Steps, named(s.x.Steps, st.Name), show.Cut.String())
	})
}

// follows reports whether the event is a press that belongs to a row of them:
// soon after the last, and the same way.
func (e *event) follows(row []*event) bool {
	if len(row) == 0 || !e.is(show.Nudge) {
		return false
	}
	last := row[len(row)-1]
	return last.is(show.Nudge) && e.Wall.Sub(last.Wall) <= pressReach && (e.asked > e.was) == (last.asked > last.was)
}

// wanted is what an event asks for, if it is a step with a want that there is.
func wanted(e *event) Want {
	switch w := Want(e.Data.Wants); w {
	case WantHold, WantResume, WantCut, WantStandDown, WantArm, WantNoGo:
		if e.call() {
			return w
		}
	}
	return WantNothing
}

// answer is the place of the event that answers the call, or -1.
func (s *scorer) answer(call int) int {
	e := &s.events[call]
	switch wanted(e) {
	case WantHold:
		if at := s.stopped(call); at > call && s.events[at].By != show.ByInstructor {
			return at
		}
	case WantCut:
		return s.first(call, func(e *event) bool { return e.is(show.Cut) })
	case WantArm:
		return s.first(call, func(e *event) bool { return e.is(show.Arm) })
	case WantNoGo:
		return s.noGo(call)
	case WantResume:
		if e.state == show.Held {
			return s.first(call, func(e *event) bool { return e.is(show.Resume) })
		}
	case WantStandDown:
		if group := s.asked(e); s.plan.Group(group) >= 0 {
			return s.first(call, func(e *event) bool { return e.is(show.StandDown) && allDown(e.t, group) })
		}
	}
	return -1
}

// describe says whose doing an event was, and what; nothing for one that does
// not belong on a timeline.
func (s *scorer) describe(e *event) (MomentKind, string) {
	says := text(e.Words(s.plan.Rate, s.plan.Length))
	if e.did {
		if e.By == show.ByInstructor && e.act == show.Hold {
			return IsRun, because("held", says)
		}
		if e.outside() && e.act == show.Hold {
			return IsRun, because("held by itself", says)
		}
		return IsAction, describeAction(e, says, s.plan.Rate)
	}
	switch e.Kind {
	case session.KindDrill:
		return describeStep(e)
	case session.KindCall:
		return IsAction, "called: the cues are " + text(e.Data.Call)
	case session.KindNote:
		return IsAction, "noted: " + says
	case session.KindSaid:
		return IsAction, "said of " + text(cmp.Or(e.Data.Cue, e.Data.Name)) + ": " + says
	case session.KindTicked:
		return IsAction, "ticked: " + says
	case session.KindListening:
		return IsAction, says
	case session.KindAnswered, session.KindEntered:
		return describePeople(e, says)
	case session.KindMarked, session.KindSentOut, session.KindBack:
		if e.Data.Who != "" {
			return describePeople(e, says)
		}
		return describeBoard(e, says)
	case session.KindDevice, session.KindSilent:
		return IsRun, says
	case session.KindSecond:
		return IsRun, "second output: " + says
	case session.KindOutput:
		return IsRun, "sound now on " + says
	case session.KindRefused:
		return IsRun, "refused: " + says
	case show.EventEnded.String():
		return IsRun, "the show ended"
	}
	return "", ""
}

func describeAction(e *event, says string, rate int) string {
	switch e.act {
	case show.Arm:
		armed := "armed"
		if e.Data.At != nil {
			armed = "armed to go on at " + timebase.ClockMillis(timebase.Frame(*e.Data.At).At(rate))
		}
		if says != "" {
			armed += " " + says
		}
		return armed
	case show.Start:
		return "started"
	case show.Hold:
		return because("held", says)
	case show.Resume:
		if open := e.leftOpen(); open != "" {
			return "resumed with " + open
		}
		return "resumed"
	case show.Nudge:
		return "nudged to " + words.Nudge(e.asked)
	case show.StandDown:
		return "stood down " + text(e.Data.GroupBy) + " " + text(e.Data.Name)
	case show.BringBack:
		return "brought back " + text(e.Data.GroupBy) + " " + text(e.Data.Name)
	case show.Cut:
		return because("cut", says)
	}
	return ""
}

// words says what is wrong with the cue list, of a settled plant.
func (p Plant) words() string {
	whose := "every effect"
	if p.Position != "" {
		whose += " of " + text(p.Position)
	}
	grows := len(p.Grow) > 0 && p.Grow[0] != 0
	late := p.lateAt(0)
	switch {
	case !grows:
		return fmt.Sprintf("%s comes %s s %s", whose, seconds(late.Abs()).text(), words.Side(late))
	case late == 0:
		way := "later and later"
		if p.Grow[0] < 0 {
			way = "earlier and earlier"
		}
		return fmt.Sprintf("%s comes %s, %s s each minute", whose, way, seconds(p.Grow[0].Abs()).text())
	}
	return fmt.Sprintf("%s comes %s s %s, and %s s more %s each minute", whose, seconds(late.Abs()).text(), words.Side(late),
		seconds(p.Grow[0].Abs()).text(), words.Side(p.Grow[0]))
}

func because(what, reason string) string {
	if reason != "" {
		return what + ": " + reason
	}
	return what
}

func describeStep(e *event) (MomentKind, string) {
	d := &e.Data
	row := Deed(d.Do).row()
	if row.takes == takesWords {
		from, said := text(d.From), text(d.Text)
		if from == "" || strings.HasPrefix(strings.ToLower(said), strings.ToLower(from)) { // who speaks says so
			return row.kind, said
		}
		return row.kind, from + ": " + said
	}
	says := about(row.says, strings.TrimSpace(text(d.GroupBy)+" "+text(d.Name)), "every position")
	if row.do == LateOne {
		says += ": " + text(lateWords(d.Late))
	}
	return row.kind, says
}

// lateWords names the cues that went off in a hold.
func lateWords(cues []string) string {
	if len(cues) == 0 {
		return "nothing was on its way"
	}
	return words.Range("cue", len(cues), cues[0], cues[len(cues)-1])
}
