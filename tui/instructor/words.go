package instructor

import (
	"fmt"
	"time"

	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/show/words"
	"drylane/tui/screen"
)

// eventWords say what an event was, in a few words. says is what the log's facts
// say of it.
func eventWords(e session.Entry, says string) (string, screen.Style) {
	d := &e.Data
	because := func(what string) string {
		if says != "" {
			return what + ": " + says
		}
		return what
	}
	switch e.Kind {
	case show.EventHeld.String():
		return because("HELD"), screen.Alarm
	case show.EventCut.String():
		return because("CUT"), screen.Alarm
	case show.EventResumed.String():
		return fmt.Sprintf("resumed after %.1f s", time.Duration(d.HeldNS).Seconds()), screen.Normal
	case show.EventNudged.String():
		return "nudged to " + words.Nudge(d.Nudge()), screen.NudgeOn
	case show.EventStoodDown.String(), show.EventBroughtBack.String():
		return fmt.Sprintf("%s %s %s", d.GroupBy, d.Name, e.Kind), screen.Caution
	case session.KindCall:
		return "called: the cues are " + d.Call, screen.Normal
	case session.KindRefused:
		return "refused: " + says, screen.Caution
	case session.KindSaid:
		return fmt.Sprintf("said of %s%s: %s", d.Cue, d.Name, says), screen.Normal
	case session.KindNote:
		return "note: " + says, screen.Quiet
	case session.KindListening, session.KindCrew, session.KindFollowed:
		return says, screen.Quiet
	case session.KindSecond:
		return "second output: " + says, screen.Quiet
	case session.KindSilent:
		return says, screen.Caution
	case session.KindDevice:
		return "the sound device: " + says, screen.Caution
	case session.KindOutput:
		return "plays on " + says, screen.Quiet
	case session.KindUnderrun:
		return fmt.Sprintf("the sound device ran dry (%d)", d.Count), screen.Caution
	case session.KindAnswered, session.KindEntered, session.KindBack, session.KindSentOut, session.KindMarked, show.EventArmed.String():
		return because(e.Kind), screen.Normal
	case session.KindClosed:
		return "the session is closed", screen.Quiet
	}
	return e.Kind, screen.Normal
}

// stepWords say what a step of the drill did.
func stepWords(d session.Data) (string, screen.Style) {
	do := drill.Deed(d.Do)
	switch {
	case do.TakesWords():
		return d.From + ": " + d.Text, screen.Normal
	case !do.TakesGroup(): // the group is whom it asks to stand down
		d.GroupBy, d.Name = "", ""
	}
	style := screen.Caution
	if do.Mends() {
		style = screen.Good
	}
	return do.Told(d.Group()), style
}

// faultsIn tells from a run's events what does not work now, by what went wrong since it
// was armed.
func faultsIn(events []session.Entry) (f drill.Faults) {
	for _, e := range events {
		switch {
		case e.Kind == show.EventArmed.String(): // each run begins whole
			f = drill.Faults{}
		case e.Kind == session.KindDrill:
			f.Take(drill.Deed(e.Data.Do), e.Data.Group())
		}
	}
	return f
}
