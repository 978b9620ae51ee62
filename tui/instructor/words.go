package instructor

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"drylane/playback/instruct"
	"drylane/show"
	"drylane/show/drill"
	"drylane/show/session"
	"drylane/tui/screen"
)

// eventWords say what an event was, in a few words.
func eventWords(e session.Entry) (string, screen.Style) {
	d := &e.Data
	because := func(what string) string {
		if d.Reason != "" {
			return what + ": " + d.Reason
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
		return "nudged to " + d.Words, screen.NudgeOn
	case show.EventStoodDown.String(), show.EventBroughtBack.String():
		return fmt.Sprintf("%s %s %s", d.By, d.Name, e.Kind), screen.Caution
	case session.KindCall:
		return "called: the cues are " + d.Call, screen.Normal
	case session.KindRefused:
		return "refused: " + d.Text, screen.Caution
	case session.KindNote:
		return "note: " + d.Text, screen.Quiet
	case session.KindOutput:
		return "plays on " + d.Output, screen.Quiet
	case session.KindUnderrun:
		return fmt.Sprintf("the sound device ran dry (%d)", d.Count), screen.Caution
	case session.KindClosed:
		return "the session is closed", screen.Quiet
	}
	return e.Kind, screen.Normal
}

// stepWords say what was done to the run.
func stepWords(d session.Data) (string, screen.Style) {
	r := instruct.Request{Do: drill.Deed(d.Do), From: d.From, Text: d.Text}
	style := screen.Caution
	switch r.Do {
	case drill.Radio:
		return d.From + ": " + d.Text, screen.Normal
	case drill.Dead, drill.Alive:
		r.By, r.Name = d.By, d.Name
	}
	switch r.Do {
	case drill.MusicOn, drill.Alive, drill.DeviceBack:
		style = screen.Good
	}
	return r.Words(), style
}

// faults are what does not work now, by what was done to the run since it was
// armed.
type faults struct {
	seen   int64 // the latest event taken in
	music  bool  // silent
	device bool  // lost
	dead   []show.Group
}

// faultsIn tells from a run's events what does not work.
func faultsIn(events []session.Entry) faults {
	var f faults
	for _, e := range events {
		f.seen = e.N
		switch {
		case e.Kind == show.EventArmed.String(): // each run begins whole
			f = faults{seen: e.N}
		case e.Kind == session.KindDrill:
			f.take(drill.Deed(e.Data.Do), show.Group{By: e.Data.By, Name: e.Data.Name})
		}
	}
	return f
}

// take lets f know of a deed; g is its group, the zero Group all cues. A group
// is alive again only if that very group was dead: all cues, or one position.
func (f *faults) take(do drill.Deed, g show.Group) {
	switch do {
	case drill.MusicOff, drill.MusicOn:
		f.music = do == drill.MusicOff
	case drill.DeviceLost, drill.DeviceBack:
		f.device = do == drill.DeviceLost
	case drill.Dead:
		if !slices.Contains(f.dead, g) {
			f.dead = append(f.dead, g)
		}
	case drill.Alive:
		f.dead = slices.DeleteFunc(f.dead, func(d show.Group) bool { return d == g })
	}
}

// words list the faults; none is the empty text.
func (f *faults) words() string {
	var w []string
	if f.music {
		w = append(w, "music off")
	}
	if f.device {
		w = append(w, "device lost")
	}
	for _, g := range f.dead {
		w = append(w, cmp.Or(g.Name, "everything")+" dead")
	}
	return strings.Join(w, ", ")
}
