package tui

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
)

// eventWords say what an event was, in a few words. says is what the log's facts
// say of it.
func eventWords(e session.Entry, says string) (string, Style) {
	d := &e.Data
	because := func(what string) string {
		if says != "" {
			return what + ": " + says
		}
		return what
	}
	switch e.Kind {
	case show.EventHeld.String():
		return because("HELD"), Alarm
	case show.EventCut.String():
		return because("CUT"), Alarm
	case show.EventResumed.String():
		return fmt.Sprintf("resumed after %.1f s", time.Duration(d.HeldNS).Seconds()), Normal
	case show.EventNudged.String():
		return "nudged to " + show.NudgeWords(d.Nudge()), NudgeOn
	case show.EventStoodDown.String(), show.EventBroughtBack.String():
		return fmt.Sprintf("%s %s %s", d.GroupBy, d.Name, e.Kind), Caution
	case session.KindCall:
		return "called: the cues are " + d.Call, Normal
	case session.KindRefused:
		return "refused: " + says, Caution
	case session.KindNote:
		return "note: " + says, Quiet
	case session.KindListening:
		return says, Quiet
	case session.KindSecond:
		return "second output: " + says, Quiet
	case session.KindSilent:
		return says, Caution
	case session.KindDevice:
		return "the sound device: " + says, Caution
	case session.KindOutput:
		return "plays on " + says, Quiet
	case session.KindUnderrun:
		return fmt.Sprintf("the sound device ran dry (%d)", d.Count), Caution
	case session.KindClosed:
		return "the session is closed", Quiet
	}
	return e.Kind, Normal
}

// stepWords say what befell the run.
func stepWords(d session.Data) (string, Style) {
	r := instruct.Request{Do: drill.Deed(d.Do), From: d.From, Text: d.Text}
	style := Caution
	switch r.Do {
	case drill.Radio:
		return d.From + ": " + d.Text, Normal
	case drill.Dead, drill.Alive:
		r.By, r.Name = d.GroupBy, d.Name
	}
	switch r.Do {
	case drill.MusicOn, drill.Alive, drill.DeviceBack:
		style = Good
	}
	return r.Words(), style
}

// faults are what does not work now, by what befell the run since it was
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
			f.take(drill.Deed(e.Data.Do), e.Data.Group())
		}
	}
	return f
}

// take lets f know of a deed; g is its group, the zero Group all cues. Who is
// alive again is so on the terms on which he was dead.
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
