package session

import (
	"fmt"
	"strings"
	"time"

	"drylane/show"
	"drylane/show/timebase"
	"drylane/show/words"
)

// Words makes a sentence of the facts of an entry, for reports and screens:
// why the run was held or cut, what was noted or refused, what the outputs and
// companions did. It is empty for an entry that its kind and figures tell all
// of. rate and length are the soundtrack's. The sentence is fit for a terminal.
func (e *Entry) Words(rate int, length timebase.Frame) string {
	d := &e.Data
	at := func(f timebase.Frame) time.Duration { return f.At(rate) }
	switch e.Kind {
	case show.EventHeld.String(), show.EventCut.String():
		why := show.Clean(d.Reason)
		switch {
		case d.Cause == show.CauseCrewLost && d.Member != "":
			why = show.NothingHeardOf(show.Clean(d.Member))
		case d.Cause != show.NoCause:
			why = d.Cause.Sentence(at(timebase.Frame(e.Heard)), at(length))
		case d.Member != "":
			why = show.CalledBy(show.Clean(d.Member), why)
		}
		due := show.Clean(words.Due(d.Due))
		if why == "" || due == "" {
			return why + due
		}
		return why + "; " + due
	case show.EventStarted.String(), show.EventResumed.String(), show.EventNudged.String():
		return d.wentOn(rate)
	case KindTicked, KindNote, KindRefused:
		return show.Clean(d.Text)
	case KindOutput:
		return show.Clean(d.Output)
	case KindDevice:
		return show.Clean(d.Error)
	case KindSilent:
		return show.Clean(d.Track + " is silent: " + d.Error)
	case KindListening:
		what := "the music"
		if d.Track != "" {
			what = d.Track + ", not the music,"
		}
		if d.At == nil {
			return show.Clean("listening to " + what)
		}
		return show.Clean("listening to " + what + " from " + timebase.ClockMillis(at(timebase.Frame(*d.At))))
	case KindSecond:
		return show.Clean(d.second())
	case KindFollowed:
		return show.Clean(d.followed())
	case KindSaid:
		return show.Clean(d.said())
	case show.EventArmed.String(), show.EventReentered.String():
		return show.Clean(d.without())
	case KindAnswered:
		return show.Clean(d.answered())
	case KindEntered:
		return show.Clean(d.entered())
	case KindCrew:
		return show.Clean(d.crew(rate))
	case KindDrill:
		if d.From == "" {
			return ""
		}
		return show.Clean(d.From + ": " + d.Text)
	case KindBoard, KindMarked, KindSentOut, KindBack:
		return show.Clean(d.field(e.Kind))
	}
	return ""
}

// second says what happened to the second output.
func (d *Data) second() string {
	switch d.Did {
	case SecondPlays:
		return d.Track + " on " + d.Output
	case SecondBack:
		return d.Track + " is back on " + d.Output
	case SecondLost:
		if d.Error == "" {
			return d.Track + " is lost, the music goes on"
		}
		return d.Track + " is lost, the music goes on: " + d.Error
	case SecondSlow:
		wait := time.Duration(d.WaitNS).Round(time.Millisecond)
		return fmt.Sprintf("%s needs %v more than the music to begin, and follows as it can", d.Track, wait)
	case SecondOverran:
		return fmt.Sprintf("%s went on for %d frames after the hold, and begins again with them", d.Track, d.Frames)
	case SecondShort:
		return fmt.Sprintf("%s stopped %d frames before the hold, and goes on after them", d.Track, d.Frames)
	case SecondMended:
		if d.EarlyNS == 0 {
			return d.Track + " is together with the music again"
		}
		return d.Track + " was " + d.early() + " and has been put right"
	case SecondApart:
		return d.Track + " is still " + d.early() + ": putting it right has not helped yet"
	case SecondSilent:
		return d.Track + " is silent, the music goes on: " + d.Error
	}
	return d.Track + " " + string(d.Did)
}

// Words say what was followed, and from which label on.
func (f *Follow) Words() string {
	said := f.Source + ", from " + f.From
	if f.Rate != "" {
		said += " at " + f.Rate
	}
	return said
}

// followed says how the timecode that a run follows stands.
func (d *Data) followed() string {
	switch {
	case d.State == FollowGone:
		return "no more timecode: " + d.Error
	case d.State == FollowLost && d.CodeTo != "":
		return "timecode jumped from " + d.Code + " to " + d.CodeTo
	case d.Rate != "":
		return "timecode " + d.State + " at " + d.Code + ", " + d.Rate + " frames a second"
	}
	return "timecode " + d.State + " at " + d.Code
}

// early is by how much the second output is early or late.
func (d *Data) early() string {
	word, off := "early", time.Duration(d.EarlyNS)
	if off < 0 {
		word = "late"
	}
	return fmt.Sprintf("%.1f ms %s", float64(off.Abs().Microseconds())/1000, word)
}

// wentOn says what a command left open, and what came due at once by it.
func (d *Data) wentOn(rate int) string {
	var said []string
	if o := d.Open(); o.Any() {
		said = append(said, o.Words())
	}
	if s := d.Salvo; s != nil {
		said = append(said, words.Salvo(s.Cues, s.First, s.Last, timebase.Frame(s.Frames).At(rate)))
	}
	return show.Clean(strings.Join(said, "; "))
}
