package crew

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"drylane/show"
)

// A Step is one line of a member's script.
type Step struct {
	Line  int
	Wait  time.Duration // after the step before, by the wall clock
	Until string        // waits until the run is in that state, a show.State; empty: does Do
	Do    Deed
	Text  string // a reason, a remark, a cue, a new name, a fault and whose it is
	From  string // radio: who speaks
	Wants string // radio, fault: what the trainee should now do; empty: nothing
}

// ScriptHelp describes the language for help texts.
const ScriptHelp = `A member's script has one step a line: how long after the step before, then what.
Lines that start with # are remarks.

  +1.5 until running        waits for the run: safe, armed, running, held, ended
  +0.8 hold [REASON]        and acknowledge, ready, unready, tap, leave, note TEXT,
                            rename NAME, as far as the role may
  +0   stand down           a position asks the shooter for it; withdraw takes it back
  +2   seen CUE             or did-not-go CUE
  +0   object REASON        safety refuses a resume; allow takes it back
  +0   radio WHO: TEXT      a trainer speaks on the radio
  +0   fault WHAT [WHERE]   ... breaks or mends something: music off, dead Quay, alive
                            Quay; fault over ends the drill. Behind either may stand
                            what the trainee should now do: [wants hold]
  +3   wait                 and nothing else
`

// takes says what stands behind a deed in a script: nothing, a text that may be left
// out, or one that may not.
var takes = map[Deed]struct{ text, need bool }{
	Hold: {text: true}, Acknowledge: {}, Ready: {}, Unready: {}, Tap: {}, Leave: {}, Allow: {}, Withdraw: {},
	Note: {true, true}, Rename: {true, true}, Seen: {true, true}, Missing: {true, true}, Object: {true, true},
	Radio: {true, true}, Fault: {true, true},
}

// ParseScript reads a member's script; name is used in errors, which come as
// Problems, all of them at once.
func ParseScript(name string, r io.Reader) ([]Step, error) {
	return show.ReadSteps(name, r, func(line int, text string) (Step, error) {
		s, err := parseStep(text)
		s.Line = line
		return s, err
	})
}

func parseStep(text string) (s Step, err error) {
	when, what, _ := strings.Cut(text, " ")
	wait, ok := strings.CutPrefix(when, "+")
	if s.Wait, err = show.ParseTime(wait); err != nil || !ok {
		return s, errors.New("a line that starts with how long to wait: +1.5")
	}
	verb, rest, _ := strings.Cut(strings.TrimSpace(what), " ")
	rest = CleanWords(rest)
	switch {
	case verb == "until":
		s.Until = rest
		if !isState(rest) {
			return s, errors.New(`"until safe", armed, running, held or ended`)
		}
		return s, nil
	case verb == "wait" && rest == "":
		return s, nil
	case verb == "stand" && rest == "down":
		s.Do = StandDown
		return s, nil
	}
	s.Do, s.Text = Deed(verb), rest
	t, known := takes[s.Do]
	switch {
	case !known:
		return s, errors.New("one of: until, hold, acknowledge, ready, unready, tap, stand down, withdraw, seen, did-not-go, object, allow, note, rename, radio, fault, leave, wait")
	case t.need && rest == "":
		return s, fmt.Errorf("%q with something behind it", verb)
	case !t.text && rest != "":
		return s, fmt.Errorf("%q alone, with nothing behind it", verb)
	}
	if s.Do == Radio || s.Do == Fault {
		s.Text, s.Wants = cutWants(rest)
	}
	if s.Do == Radio {
		if s.From, s.Text, known = strings.Cut(s.Text, ": "); !known || s.From == "" || s.Text == "" {
			return s, errors.New(`"radio WHO: TEXT"`)
		}
	}
	return s, nil
}

// cutWants takes what is wanted from the end of a text: "Stop. [wants hold]".
func cutWants(text string) (before, wants string) {
	i := strings.LastIndex(text, " [wants ")
	if i < 0 || !strings.HasSuffix(text, "]") {
		return text, ""
	}
	return text[:i], text[i+len(" [wants ") : len(text)-1]
}

// isState reports whether a word is that of a state of the run.
func isState(word string) bool {
	states := []string{show.Safe.String(), show.Armed.String(), show.Running.String(), show.Held.String(), show.Ended.String()}
	return slices.Contains(states, word)
}
