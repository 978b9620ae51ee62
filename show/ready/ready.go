// Package ready is the go / no-go list: who is asked before a show is armed, in which
// order, what each of them has answered, and which answers have to be given again.
package ready

import (
	"fmt"
	"slices"
	"strings"

	"drylane/show"
)

// An Upset is why an answer that was given counts no more. Its text is for people.
type Upset string

// The upsets.
const (
	NoUpset    Upset = ""
	SomebodyIn Upset = "somebody was in the field"
	MadeSafe   Upset = "the show was made safe"
)

// A Line is a line of the list as it stands.
type Line struct {
	show.Ask
	Answer show.Answer
	Reason string // of a no-go, in the words of who said it; may be empty
	Upset  Upset  // why a go that was given does not count any more, while there is no other
}

// A List is a go / no-go list. The zero value asks nobody. A copy of a List is a
// snapshot: it may be read on another goroutine while the original goes on.
type List struct {
	lines []Line // replaced, never written to
}

// New returns a list on which nobody has answered.
func New(asks []show.Ask) *List {
	l := &List{lines: make([]Line, len(asks))}
	for i, a := range asks {
		l.lines[i].Ask = a
	}
	return l
}

// Lines are the lines, in the order in which they are to be answered. They are not to be
// changed.
func (l *List) Lines() []Line { return l.lines }

// Next is the line that is to be answered next: the first that is not go. It is -1 when
// all are.
func (l *List) Next() int {
	return slices.IndexFunc(l.lines, func(x Line) bool { return x.Answer != show.AnswerGo })
}

// Missing are those from whom there is no answer, or one that has to be given again.
func (l *List) Missing() []string { return l.that(show.NoAnswer) }

// Against are those who say no.
func (l *List) Against() []string { return l.that(show.AnswerNoGo) }

func (l *List) that(a show.Answer) []string {
	var who []string
	for _, x := range l.lines {
		if x.Answer == a {
			who = append(who, x.Who)
		}
	}
	return who
}

// Count is the list in a few words, such as "go 5 of 7" or "go 5 of 7, no-go: Spotter".
func (l *List) Count() string {
	said := fmt.Sprintf("go %d of %d", len(l.that(show.AnswerGo)), len(l.lines))
	if no := l.Against(); len(no) > 0 {
		said += ", no-go: " + strings.Join(no, ", ")
	}
	return said
}

// Find reads who is meant at the beginning of a text, in quotes or not, whatever the
// case of its letters, and what is said behind that. ok is false where it is nobody on
// the list.
func (l *List) Find(text string) (i int, rest string, ok bool) {
	if quoted, found := strings.CutPrefix(text, `"`); found {
		name, rest, _ := strings.Cut(quoted, `"`)
		i = slices.IndexFunc(l.lines, func(x Line) bool { return strings.EqualFold(x.Who, name) })
		return i, strings.TrimSpace(rest), i >= 0
	}
	i = -1
	for k, x := range l.lines { // the longest name: one may begin with another
		if named(text, x.Who) && (i < 0 || len(x.Who) > len(l.lines[i].Who)) {
			i = k
		}
	}
	if i < 0 {
		return i, "", false
	}
	return i, strings.TrimSpace(text[len(l.lines[i].Who):]), true
}

// named reports whether a text begins with a whole name.
func named(text, name string) bool {
	return len(text) >= len(name) && strings.EqualFold(text[:len(name)], name) &&
		(len(text) == len(name) || text[len(name)] == ' ')
}

// A Deed is an answer that is given.
type Deed struct {
	Who    string
	Answer show.Answer // NoAnswer withdraws the one that was given
	Reason string      // of a no-go
}

// Give takes an answer. turn is whose turn it was, where somebody said go out of turn:
// it counts all the same. Anybody may say no at any time. The error is for the shooter,
// and then nothing was done.
func (l *List) Give(d Deed) (turn string, err error) {
	i := slices.IndexFunc(l.lines, func(x Line) bool { return x.Who == d.Who })
	switch {
	case i < 0:
		return "", fmt.Errorf("nobody on the list is called %q", d.Who)
	case d.Answer == show.AnswerGo && l.lines[i].Answer == show.AnswerGo:
		return "", fmt.Errorf("%s is go already", d.Who)
	case d.Answer == show.NoAnswer && l.lines[i].Answer == show.NoAnswer:
		return "", fmt.Errorf("%s has not answered", d.Who)
	case d.Answer != show.AnswerNoGo && d.Reason != "":
		return "", fmt.Errorf("found %q behind %s; wanted a reason with a no-go only", d.Reason, d.Who)
	}
	if next := l.Next(); d.Answer == show.AnswerGo && next != i {
		turn = l.lines[next].Who
	}
	l.lines = slices.Clone(l.lines)
	l.lines[i].Answer, l.lines[i].Reason, l.lines[i].Upset = d.Answer, d.Reason, NoUpset
	return turn, nil
}

// Upset makes every go that something has made old one that has to be given again. After
// somebody was in the field those that keep stand; after make safe none does. A no-go
// stands until who said it says go, or it is withdrawn.
func (l *List) Upset(why Upset) {
	l.lines = slices.Clone(l.lines)
	for i := range l.lines {
		x := &l.lines[i]
		if x.Answer == show.AnswerGo && !(why == SomebodyIn && x.Keeps) {
			x.Answer, x.Upset = show.NoAnswer, why
		}
	}
}
