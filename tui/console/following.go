package console

import (
	"fmt"
	"math"

	"drylane/playback/deck"
	"drylane/playback/follow"
	"drylane/show"
	"drylane/show/timebase"
	"drylane/tui/screen"
)

// follows is what the run follows; nil when the music is played here.
func (m *Screen) follows() *deck.FollowNow { return m.snap.Follow }

// factCode says what the run follows, and how that stands.
func (m *Screen) factCode(c *screen.Canvas) {
	f, label := m.follows(), "CODE"
	if f.Now.Music {
		label = "MUSIC"
	}
	x, y, end := m.fact(c, factSound, label)
	style := screen.Strong
	switch {
	case f.Gone != nil:
		style = screen.Alarm
	case f.Now.State == follow.Carried:
		style = screen.Caution
	case f.Now.State == follow.Lost, f.Now.Why != follow.NoReason:
		style = screen.Alarm
	case f.Now.State == follow.Searching:
		style = screen.Caution
	}
	x = c.Text(x, y, end-x, codeState(f), style)
	if off := (f.Now.Speed - 1) * 100; f.Now.Following() && math.Abs(off) >= 0.1 {
		c.Text(x, y, end-x, offSpeed(off, end-x), screen.Caution)
	}
}

// codeState says what a run follows, and how that stands.
func codeState(f *deck.FollowNow) string {
	what := "FOLLOWS TIMECODE: "
	if f.Now.Music {
		what = "FOLLOWS MUSIC: "
	}
	switch {
	case f.Gone != nil:
		return what + "no more"
	case f.Now.Why == follow.Unsure:
		return what + fmt.Sprintf("not sure, %d alike", f.Now.Times)
	case f.Now.Why == follow.Preparing:
		return what + "getting ready"
	}
	return what + f.Now.State.String()
}

// missing says that what a run follows does not come, code or music, or why music is of
// no use.
func missing(f *deck.FollowNow, code, music string) string {
	switch {
	case !f.Now.Music:
		return code
	case f.Now.Why == follow.Unsure && f.Gone == nil:
		return fmt.Sprintf("this stretch comes %d times", f.Now.Times)
	}
	return music
}

// offSpeed says by how much the code is off its speed, in the room that there is.
func offSpeed(percent float64, room int) string {
	how := "fast"
	if percent < 0 {
		how = "slow"
	}
	if text := fmt.Sprintf(", %.1f %% %s", math.Abs(percent), how); len(text) <= room {
		return text
	}
	return fmt.Sprintf(" %+.1f %%", percent)
}

// codeText is the timecode that the top line shows: the label read last, or that of
// the show's own track at the frame heard. It is empty where there is none.
func (m *Screen) codeText() string {
	f := m.follows()
	switch {
	case f == nil && m.Timecode == nil:
		return ""
	case f == nil:
		return m.Timecode(m.heard())
	case f.Now.Music:
		return ""
	case !f.Now.Read:
		return "--:--:--:--"
	case f.Now.Rate == 0:
		return f.Now.Label.String()
	}
	return f.Now.Label.String() + " @" + f.Now.Rate.String()
}

// followHint says who starts and resumes a run that follows, and when; empty where
// nothing of that is to be said.
func (m *Screen) followHint() string {
	f, t := m.follows(), &m.snap.Transport
	if f == nil {
		return ""
	}
	k := m.Keys.Name
	at := func(f timebase.Frame) string { return timebase.ClockTenths(max(0, f).At(m.Plan.Rate)) }
	runs := f.Now.Following() && f.Gone == nil
	switch t.State() {
	case show.Running:
		return fmt.Sprintf("the player holds and resumes; %s holds the cues, the music is not ours", k(actHold))
	case show.Armed:
		switch {
		case runs && m.behindShow(f):
			return fmt.Sprintf("music at %s, the show ends at %s: %s makes it safe", at(f.Place), at(m.Plan.Length), k(actCut))
		case runs && f.Late:
			return fmt.Sprintf("the music is at %s already: %s goes on there, %s makes it safe", at(f.Place), k(actGo), k(actCut))
		case runs:
			return fmt.Sprintf("the player starts it, in %s; %s makes it safe again", at(t.Heard()-f.Place), k(actCut))
		}
		return fmt.Sprintf("the player starts it: %s; %s makes it safe", missing(f, "no timecode yet", "not heard yet"), k(actCut))
	case show.Held:
		return m.followHeldHint(f, at)
	}
	return ""
}

// behindShow reports whether the music is where nothing of the show is left to go on with.
func (m *Screen) behindShow(f *deck.FollowNow) bool { return f.Late && f.Place >= m.Plan.Length }

// followHeldHint is followHint for a hold.
func (m *Screen) followHeldHint(f *deck.FollowNow, at func(timebase.Frame) string) string {
	k, held := m.Keys.Name, m.snap.Transport.Heard()
	switch runs := f.Now.Following() && f.Gone == nil; {
	case !runs && f.Own:
		return fmt.Sprintf("held here; the music is not ours, %s; %s cuts", missing(f, "no timecode comes", "and not heard"), k(actCut))
	case !runs && f.Now.Why == follow.Unsure:
		return fmt.Sprintf("not sure, %s: %s keeps it held, %s cuts", missing(f, "", ""), k(actHold), k(actCut))
	case !runs:
		return fmt.Sprintf("the player held and resumes it: %s keeps it held, %s cuts", k(actHold), k(actCut))
	case m.behindShow(f):
		return fmt.Sprintf("music at %s, the show ends at %s: %s cuts", at(f.Place), at(m.Plan.Length), k(actCut))
	case f.Late:
		return fmt.Sprintf("music at %s, show at %s: %s goes on there, %s cuts", at(f.Place), at(held), k(actGo), k(actCut))
	case f.Willing, f.Same && !f.Own:
		return fmt.Sprintf("resumes with the music at %s: %s keeps it held, %s cuts", at(held), k(actHold), k(actCut))
	}
	return fmt.Sprintf("music at %s, show at %s: %s resumes it there, %s cuts", at(f.Place), at(held), k(actGo), k(actCut))
}

// alarmText is the latest alarm, or what has taken its place: in a hold that the player
// began, where the music is now; in one from here, that the music does not play on.
func (m *Screen) alarmText() string {
	f, said := m.follows(), m.snap.Message.Text
	if f == nil || m.snap.Transport.State() != show.Held {
		return said
	}
	runs := f.Now.Following() && f.Gone == nil
	switch {
	case !f.Own && runs && f.Late && !m.behindShow(f) && said == "HELD: "+stopped(f).Sentence(0, 0):
		what := "timecode"
		if f.Now.Music {
			what = "music"
		}
		return fmt.Sprintf("HELD: the %s is at %s now: %s asks to go on there", what, timebase.ClockTenths(f.Place.At(m.Plan.Rate)), m.Keys.Name(actGo))
	case !runs && said == deck.NotOurs:
		return m.followHint()
	}
	return said
}

// stopped is why a run is held whose player has stopped.
func stopped(f *deck.FollowNow) show.Cause {
	if f.Now.Music {
		return show.CauseMusicStopped
	}
	return show.CauseCodeStopped
}

// followKeys are the keys for the bottom line of a run that follows: a start or a resume
// that is the player's, or is not to be had, is none of them.
func (m *Screen) followKeys(keys []bottomKey) []bottomKey {
	f, s := m.follows(), m.snap.Transport.State()
	if f == nil || s != show.Armed && s != show.Held {
		return keys
	}
	if s == show.Armed && !f.Late || s == show.Held && !f.Now.Following() || m.behindShow(f) {
		return keys[1:]
	}
	return keys
}
