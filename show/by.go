package show

import (
	"time"

	"drylane/show/timebase"
)

// A By says who asked for something. Its text is the word for it in logs.
type By string

// Who can ask for something.
const (
	ByNobody     By = ""           // it came of the run itself; or an old log does not say
	ByShooter    By = "shooter"    // at the keys of the console
	ByScript     By = "script"     // the script that drives the run
	ByInstructor By = "instructor" // a trainer, by hand in a drill, or one who called for a hold
	ByCrew       By = "crew"       // a member of the crew, at another machine
	ByEngine     By = "engine"     // the program: for a Cause, or as a drill's file has it
	ByPlayer     By = "player"     // whoever plays the music that the run follows
)

// Machine reports whether no person at this run asked: the program did, or what it
// follows.
func (b By) Machine() bool { return b == ByEngine || b == ByPlayer }

// Outside reports whether none of those who rehearse asked: nobody did, or a trainer.
func (b By) Outside() bool { return b.Machine() || b == ByInstructor }

// A Cause is why a run was held or cut when no person said why, or why what was
// asked for was not done. Its text is the word for it in logs.
type Cause string

// The causes.
const (
	NoCause           Cause = ""                   // a person's doing
	CauseDeviceLost   Cause = "device lost"        // the sound device went away
	CauseDeviceFailed Cause = "device failed"      // the output could not play on, as when a disk is full
	CauseDeviceSilent Cause = "device silent"      // the sound device is there and plays nothing, as when it is suspended
	CauseMusicEnded   Cause = "music ended early"  // the soundtrack broke off before its end
	CauseFileChanged  Cause = "file changed"       // the soundtrack's, while it was open
	CauseDrillOver    Cause = "drill over"         // a drill has an end of its own
	CauseSuspended    Cause = "terminal suspended" // the shooter put the program to sleep
	CauseOverruled    Cause = "overruled"          // refused: a hold or a cut was asked for after it
	CauseSomebodyOut  Cause = "somebody out"       // refused: somebody is in the field
	CauseWithoutGo    Cause = "without go"         // refused until asked for again: not everybody is go
	CauseNoGo         Cause = "no-go"              // refused: somebody says no
	CauseWaiting      Cause = "waiting time"       // refused until asked for again: nobody goes in before it is over
	CauseCrewLost     Cause = "crew lost"          // nothing is heard of a member whom the show cannot go on without
	CauseCrewRefuses  Cause = "crew refuses"       // refused: a member of the crew refuses a resume
	CauseTogether     Cause = "together"           // refused until asked for again: too many cues would come due at once

	// Of a run that follows timecode, or music by ear.
	CauseCodeStopped   Cause = "timecode stopped"      // it stopped, or could not be read any more
	CauseCodeJumped    Cause = "timecode jumped"       // it went on elsewhere
	CauseCodeBackwards Cause = "timecode backwards"    // it runs backwards
	CauseCodeRate      Cause = "timecode rate"         // it is of another rate, or too fast or slow
	CauseCodeUnknown   Cause = "timecode rate unknown" // its rate cannot be told from the one 0.1 % away
	CauseMusicStopped  Cause = "music stopped"         // what is followed is the music itself, and it is no more heard
	CauseInputLost     Cause = "sound input lost"      // nothing comes in any more
	CauseNotOurs       Cause = "music not ours"        // refused: the player starts and resumes
	CauseGoesOnThere   Cause = "goes on there"         // cut: re-entered and started at once, where the music is
	CauseElsewhere     Cause = "music elsewhere"       // refused until asked for again: the music is at another place
)

// Sentence says the cause for people. heard is where the music stopped, of a
// soundtrack of that length.
func (c Cause) Sentence(heard, length time.Duration) string {
	switch c {
	case CauseDeviceLost:
		return "the sound device went away"
	case CauseDeviceFailed:
		return "the sound output failed"
	case CauseDeviceSilent:
		return "the sound device went silent"
	case CauseMusicEnded:
		return "the music ended early, at " + timebase.ClockMillis(heard) + " of " + timebase.ClockMillis(length)
	case CauseFileChanged:
		return "the soundtrack's file changed while it was open"
	case CauseDrillOver:
		return "the drill is over"
	case CauseSuspended:
		return "the terminal was suspended"
	case CauseOverruled:
		return "a hold or a cut was asked for after it"
	case CauseSomebodyOut:
		return "somebody is in the field"
	case CauseCodeStopped:
		return "the timecode stopped"
	case CauseCodeJumped:
		return "the timecode jumped"
	case CauseCodeBackwards:
		return "the timecode runs backwards"
	case CauseCodeRate:
		return "the timecode is of another rate, or too fast or slow"
	case CauseCodeUnknown:
		return "the rate of the timecode cannot be told from the one 0.1 % away; name it"
	case CauseMusicStopped:
		return "the music stopped, or cannot be heard any more"
	case CauseInputLost:
		return "the input of what is followed went away"
	case CauseNotOurs:
		return "the music is not ours: its player starts and resumes it"
	case CauseGoesOnThere:
		return "to go on where the music is"
	case CauseElsewhere:
		return "the music is at another place"
	case CauseWithoutGo:
		return "not everybody is go"
	case CauseNoGo:
		return "a no-go stands"
	case CauseWaiting:
		return "the waiting time is not over"
	case CauseCrewLost:
		return "nothing is heard of one of the crew"
	case CauseCrewRefuses:
		return "one of the crew refuses it"
	case CauseTogether:
		return "too many cues would have come due at once"
	}
	return Clean(string(c))
}

// NothingHeardOf says that a member of the crew is lost.
func NothingHeardOf(member string) string { return "nothing is heard of " + member }

// CalledBy says who of the crew called for a hold, and why if they said so.
func CalledBy(member, reason string) string {
	if reason == "" {
		return member + " called it"
	}
	return member + ": " + reason
}
