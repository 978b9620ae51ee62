package console

import (
	"fmt"
	"strings"
	"time"
	"unicode"

	"drylane/show"
	"drylane/show/timebase"
	"drylane/show/words"
)

// told is what has been said of a run. The zero told is nothing.
type told struct {
	facts          // as they were at the look before
	begun     bool // there was one
	saidNudge time.Duration
	nudgedAt  time.Time // when the nudge was last changed
	saidUntil time.Time // of what is to be asked for again
	said      [slotCount]string
	saidAt    [slotCount]time.Time
}

const (
	// nudgeRests is for how long a nudge stays before it is said: a key held down is
	// said once.
	nudgeRests = 400 * time.Millisecond
)

// rests is the time between two lines of one slot. What answers on the field board comes
// and goes; who is asked next is waited for.
func rests(i slot) time.Duration {
	switch i {
	case slotBoard:
		return 15 * time.Second
	case slotReady:
		return 0
	}
	return 5 * time.Second
}

// next returns what is to be said of the facts to somebody who has been told t, and
// what has been told then: first what the run does, then what somebody says of it, then
// what stands.
func (t told) next(f facts) (now told, lines []string) {
	now = t
	now.facts, now.begun = f, true
	if !t.begun { // the state at the beginning, and the field's, are said by the greeting
		now.said[slotBoard], now.saidAt[slotBoard] = f.standing[slotBoard], f.now
		now.saidNudge, now.nudgedAt, now.saidUntil, now.message = f.nudge, f.now, f.until, f.message
		return now, now.stand(f)
	}
	changed := f.state != t.state || !f.since.Equal(t.since)
	if changed {
		now.said[slotAnswers], now.saidAt[slotAnswers] = "", time.Time{} // who is awaited is asked anew in each hold
		lines = append(lines, stateLines(t.facts, f)...)
	} else {
		lines = append(lines, holdLines(t.facts, f)...)
	}
	if line := now.again(t, f); line != "" {
		lines = append(lines, line)
	} else if m := f.message; m.Text != "" && m != t.message && !strings.HasPrefix(m.Text, "HELD: ") && m.Text != f.due {
		lines = append(lines, t.refusal(f))
	}
	for _, r := range f.radio[min(len(t.radio), len(f.radio)):] {
		lines = append(lines, radioLine(radioText(r), f))
	}
	for _, position := range f.bangs[min(len(t.bangs), len(f.bangs)):] {
		lines = append(lines, "BANG at "+position)
	}
	lines = append(lines, f.calls...)
	if line := now.nudged(t, f); line != "" {
		lines = append(lines, line)
	}
	return now, append(lines, now.stand(f)...)
}

// refusal is the message, cut short where it says once more all that forbids arming: that
// is many words, and the key is soon pressed again.
func (t *told) refusal(f facts) string {
	if stops := f.standing[slotStops]; f.stopped != "" && f.message.Text == stops && same(slotStops, stops, t.said[slotStops]) {
		return f.stopped
	}
	return f.message.Text
}

// stateLines say what state the run has come to.
func stateLines(was, is facts) []string {
	at := timebase.ClockTenths(is.heard)
	switch is.state {
	case show.Armed:
		return []string{"ARMED. " + is.hint}
	case show.Running:
		return []string{"RUNNING from " + at}
	case show.Held:
		return heldLines(is)
	case show.Ended:
		return []string{"ENDED at " + at + ". " + is.hint, is.skyAfter()}
	}
	switch was.state {
	case show.Running, show.Held:
		return []string{"CUT at " + at + ". Nobody goes in before it is confirmed safe.", is.skyAfter(), is.due}
	case show.Armed:
		return []string{"SAFE: it was not started"}
	}
	return []string{"SAFE. " + is.hint}
}

// heldLines are the hold panel: first why, then what it is not.
func heldLines(is facts) []string {
	head := "HELD at " + timebase.ClockTenths(is.heard)
	if why, ok := strings.CutPrefix(is.message.Text, "HELD: "); ok {
		head += ": " + withoutStop(why)
	}
	lines := []string{fmt.Sprintf("%s. Ticks open: %d.", head, is.open()), notSafeToEnter, is.skyAfter(), is.due, is.resumes}
	if is.open() > 0 {
		lines = append(lines, "To tick: "+is.checklist[is.ticked])
	}
	return lines
}

// open is how many lines of the checklist are not ticked.
func (f *facts) open() int { return max(0, len(f.checklist)-f.ticked) }

// skyAfter is what is up once the music stands still.
func (f *facts) skyAfter() string {
	if f.up {
		return "NOT CLEAR: " + strings.TrimPrefix(f.sky, "LIST: ")
	}
	return f.sky
}

// holdLines say what has changed while the state stayed.
func holdLines(was, is facts) (lines []string) {
	if is.state != show.Running && was.up && !is.up {
		lines = append(lines, is.sky)
	}
	if is.ticked > was.ticked && is.ticked <= len(is.checklist) {
		line := fmt.Sprintf("Ticked: %s. Open: %d.", withoutStop(is.checklist[is.ticked-1]), is.open())
		if is.open() > 0 {
			line += " Next: " + is.checklist[is.ticked]
		}
		lines = append(lines, line)
	}
	switch {
	case is.counts > 0 && was.counts == 0:
		lines = append(lines, fmt.Sprintf("RESUMES IN %d. %s keeps the hold, %s resumes now.", is.counts, is.keep, is.goOn))
	case is.counts == 0 && was.counts > 1:
		lines = append(lines, "STILL HELD: the count is off")
	}
	return lines
}

// again says what is done only if it is asked for a second time, once for each ask.
func (t *told) again(was told, is facts) string {
	if is.again == "" || is.until.Equal(was.saidUntil) {
		return ""
	}
	t.saidUntil = is.until
	return "NOT DONE YET. " + is.again
}

// radioLine is a message from the field, with the order in it first.
func radioLine(text string, is facts) string {
	if order := orderIn(text); stands(order, is.state, is.up) {
		return order + " by radio. " + text
	}
	return "RADIO. " + text
}

// nudged says a nudge once it stays as it is.
func (t *told) nudged(was told, is facts) string {
	if is.nudge != was.facts.nudge {
		t.nudgedAt = is.now
	}
	if is.nudge == t.saidNudge || is.now.Sub(t.nudgedAt) < nudgeRests {
		return ""
	}
	t.saidNudge = is.nudge
	line := words.Nudge(is.nudge)
	if is.after != "" {
		line += " after cue " + is.after
	}
	return line
}

// same reports whether a slot says nothing new: of some the figures run on, and it is
// the words that count.
func same(i slot, is, said string) bool {
	switch i {
	case slotStops, slotLock, slotDry, slotWait:
		is, said = withoutFigures(is), withoutFigures(said)
	}
	return is == said
}

func withoutFigures(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsDigit(r) {
			return -1
		}
		return r
	}, s)
}

// stand says what stands and has not been said, each at most every few seconds.
func (t *told) stand(f facts) (lines []string) {
	for i, text := range f.standing {
		if same(slot(i), text, t.said[i]) || f.now.Sub(t.saidAt[i]) < rests(slot(i)) {
			continue
		}
		switch {
		case text != "" && text == f.message.Text: // which has just been said
			t.saidAt[i] = f.now
		case text != "":
			t.saidAt[i] = f.now
			lines = append(lines, text)
		case slot(i) == slotDisk:
			lines = append(lines, "On disk again")
		case slot(i) == slotIn && f.state == show.Safe:
			lines = append(lines, "ALL WHO WERE NAMED ARE BACK")
		case slot(i) == slotLock, slot(i) == slotOutput: // not told for a while, and no other for that
			continue
		}
		t.said[i] = text
	}
	return lines
}
