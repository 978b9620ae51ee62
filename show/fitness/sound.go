package fitness

import (
	"fmt"
	"time"

	"drylane/show/words"
)

// What sound is measured by. The first two are those that drylane holds itself to,
// recorded from a sound server: 99 cues in 100 within 5 ms of the music, and none past
// 10 ms. The others are common practice, no source.
const (
	steady     = 5 * time.Millisecond   // of 99 clicks in 100
	unsteady   = 10 * time.Millisecond  // beyond it a cue is seen beside the music
	noticed    = 15 * time.Millisecond  // what is told too early or too late, and is worth a flag
	wireless   = 100 * time.Millisecond // what a device keeps sounding after a hold
	fewGaps    = 2                      // in 20 s; more is no rehearsal
	enoughOf10 = 8                      // clicks that must be found again
)

func (s *Sound) findings() []Finding {
	gaps := Finding{Grade: Good, Text: fmt.Sprintf("no gap in %s", s.Played)}
	if s.Underruns > 0 {
		gaps = Finding{Grade: Limit, Text: fmt.Sprintf("%s in %s: the music stutters", words.Count(s.Underruns, "gap"), s.Played),
			Do: "close other programs, plug the charger in, switch power saving off"}
	}
	if s.Underruns > fewGaps {
		gaps.Grade = Unfit
	}
	told := Finding{Grade: Good, Text: fmt.Sprintf("the device tells of %s between computer and loudspeaker", s.Latency)}
	if s.Latency.abs() > wireless {
		told.Grade, told.Do = Limit, "a hold is heard that much later: use a cable in place of a wireless link"
	}
	return []Finding{gaps, told}
}

// findings are those of clicks that were taken in; what is taken in of a sound that had
// gaps is not steady for that reason alone.
func (l *Loop) findings(gaps bool) []Finding {
	if l.Found*10 < l.Sent*enoughOf10 {
		text := fmt.Sprintf("%d of %s found again by the %s: cannot tell how late the sound is", l.Found, words.Count(l.Sent, "click"), l.By)
		if l.By == Microphone {
			return []Finding{{Text: text, Do: "turn the loudspeaker up, put the microphone near it, and try again"}}
		}
		return []Finding{{Text: text, Do: "unmute the device, end what else plays, and try again"}}
	}
	if gaps {
		return []Finding{l.late(), {Text: "the sound had gaps: cannot tell how steady it is without", Do: "try again when the gaps are gone"}}
	}
	return []Finding{l.late(), l.spread()}
}

// late says what the output does not tell of.
func (l *Loop) late() Finding {
	way := "later"
	if l.Late < 0 {
		way = "earlier"
	}
	f := Finding{Grade: Good, Text: fmt.Sprintf("by the %s the sound comes %s %s than the device tells", l.By, Milliseconds(l.Late.abs()), way)}
	if l.Late.abs() < time.Millisecond {
		f.Text = fmt.Sprintf("by the %s the sound comes when the device tells", l.By)
	}
	if l.Late.abs() > noticed {
		f.Grade = Limit
		f.Do = fmt.Sprintf("run with --latency %s", time.Duration(l.Late).Round(time.Millisecond))
		if l.By == Microphone {
			f.Do += ", less 3 ms for each metre between loudspeaker and microphone"
		}
	}
	return f
}

// spread says how steady the sound is.
func (l *Loop) spread() Finding {
	f := Finding{Grade: Good, Text: fmt.Sprintf("it keeps its time within %s", l.Spread)}
	if l.Spread.abs() > steady {
		f = Finding{Grade: Limit, Text: fmt.Sprintf("it strays from its time by up to %s: cues and bangs look that far off the music", l.Spread),
			Do: "close other programs, use a cable in place of a wireless link"}
	}
	if l.Spread.abs() > unsteady {
		f.Grade = Unfit
	}
	return f
}
