package session

import (
	"time"

	"drylane/show"
	"drylane/show/timebase"
)

// commands are the actions by the event that answers them.
var commands = map[string]show.Action{
	show.EventArmed.String():       show.Arm,
	show.EventStarted.String():     show.Start,
	show.EventHeld.String():        show.Hold,
	show.EventResumed.String():     show.Resume,
	show.EventNudged.String():      show.Nudge,
	show.EventStoodDown.String():   show.StandDown,
	show.EventBroughtBack.String(): show.BringBack,
	show.EventCut.String():         show.Cut,
	show.EventReset.String():       show.Reset,
	show.EventReentered.String():   show.Reenter,
}

// commandOf returns the command that led to entry e, if one did. asked is the
// nudge before it: the log tells the sum of all nudges. rate is the soundtrack's.
func commandOf(e *Entry, asked time.Duration, rate int) (c show.Command, ok bool) {
	action, ok := commands[e.Kind]
	c = show.Command{Action: action, By: e.By, Member: e.Data.Member, Reason: e.Data.Reason, Cause: e.Data.Cause,
		HeldFor: time.Duration(e.Data.HeldNS), Open: e.Data.Open(), Group: e.Data.Group()}
	if e.Data.NudgeMS != nil {
		c.Step = e.Data.Nudge() - asked
	}
	if action == show.Reenter && e.Data.At != nil {
		c.From = timebase.Frame(*e.Data.At).At(rate)
		c.RunUp = c.From - timebase.Frame(e.Heard).At(rate)
	}
	return c, ok
}
