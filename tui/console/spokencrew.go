package console

import (
	"fmt"
	"time"

	"drylane/show"
	roles "drylane/show/crew"
	"drylane/show/words"
	members "drylane/tui/crew"
)

// answersIn is how long a hold may last before it is said who has not acknowledged it.
const answersIn = 2 * time.Second

// linkLine says of whom nothing is heard and, once that has been said, that it is over.
func (p *Spoken) linkLine() string {
	if p.Others == nil {
		return ""
	}
	lost, _ := awaited(p.Others.Board())
	if len(lost) > 0 {
		return fmt.Sprintf("LINK LOST: %s. %s strikes %s off.", named(lost), p.keyName(actStrike), lost[0])
	}
	if p.told.said[slotLink] != "" {
		return "LINK: nobody who is awaited is lost"
	}
	return ""
}

// answerLine says who has not acknowledged the hold that is on, or that nobody is awaited
// any more.
func (p *Spoken) answerLine() string {
	if p.Others == nil || p.snap.Transport.State() != show.Held || p.now.Sub(p.snap.Since) < answersIn {
		return ""
	}
	b := p.Others.Board()
	if _, waits := awaited(b); len(waits) > 0 {
		return fmt.Sprintf("HOLD NOT ACKNOWLEDGED: %s. %s strikes %s off.", named(waits), p.keyName(actStrike), waits[0])
	}
	answered, called := 0, 0
	for _, l := range b.Lines {
		if l.Answer != roles.NoHold {
			called++
		}
		if l.Answer == roles.Answered {
			answered++
		}
	}
	if called == 0 {
		return ""
	}
	return fmt.Sprintf("Hold acknowledged by %d of %d", answered, called)
}

// refusedLine says who refuses a resume, and why.
func (p *Spoken) refusedLine() string {
	if p.Others == nil {
		return ""
	}
	if why := p.Others.Board().Forbids; why != "" {
		return "A RESUME IS REFUSED BY " + members.Refused(why)
	}
	return ""
}

// asksLine says which position asks to be stood down.
func (p *Spoken) asksLine() string {
	if p.Others == nil {
		return ""
	}
	return p.Others.Board().Asks
}

// named are as many names as can be listened to, and how many more there are.
func named(names []string) string {
	const most = 6
	if n := len(names) - most; n > 0 {
		names = append(names[:most:most], fmt.Sprintf("%d more", n))
	}
	return words.List(names)
}
