package fitness

import (
	"fmt"
	"time"
	"unicode/utf8"

	"drylane/show/words"
)

// The least size of the console, and how fast a screen must come: it is drawn 30 times
// a second.
const (
	leastColumns, leastRows = 80, 24
	frame                   = time.Second / 30
	sluggish                = 250 * time.Millisecond
)

func (t *Terminal) findings() []Finding {
	size := Finding{Grade: Good, Text: fmt.Sprintf("%dx%d, %s", t.Columns, t.Rows, t.colours())}
	switch {
	case t.Columns < leastColumns || t.Rows < leastRows:
		size.Grade, size.Do = Unfit, fmt.Sprintf("make the window %dx%d or larger, or its letters smaller", leastColumns, leastRows)
	case t.Colours == 0:
		size.Grade, size.Do = Limit, "the console has the theme mono; for colours use another terminal"
	}
	if !t.Answers {
		return []Finding{size, {Text: "it does not tell where its cursor is: cannot tell how wide its characters are, nor how fast it draws"}}
	}
	return []Finding{size, t.characters(), t.drawing()}
}

func (t *Terminal) colours() string {
	switch {
	case t.Colours == 0:
		return "no colours"
	case t.Colours >= 1<<24:
		return "all colours"
	}
	return fmt.Sprintf("%d colours", t.Colours)
}

func (t *Terminal) characters() Finding {
	n := utf8.RuneCountInString(t.Wrong)
	if n == 0 {
		return Finding{Grade: Good, Text: fmt.Sprintf("all %d characters of the screens are one column wide", t.Asked)}
	}
	return Finding{Grade: Limit, Text: fmt.Sprintf("%d of %d characters of the screens are not one column wide: %s", n, t.Asked, t.Wrong),
		Do: "run with --ascii, or set the terminal to UTF-8 and ambiguous characters to narrow"}
}

func (t *Terminal) drawing() Finding {
	text := fmt.Sprintf("a whole screen is drawn in %s, at most %s", t.Redraw, t.Slow)
	switch {
	case t.Redraw.abs() > sluggish:
		return Finding{Grade: Limit, Text: text + ": the picture lies behind the music by that much; keys do not", Do: "use a terminal of this computer, not one over a network, or a smaller window"}
	case t.Redraw.abs() > frame:
		return Finding{Grade: Limit, Text: text + ": the picture moves in steps", Do: "use a smaller window, or a faster terminal"}
	}
	return Finding{Grade: Good, Text: text}
}

// keys says what the terminal does with keys. None of it is needed.
func (t *Terminal) keys() []Finding {
	releases := Finding{Grade: Good, Text: "it does not tell when a key is let go, and drylane does not need it"}
	switch {
	case !t.Answers:
		releases = Finding{Text: "cannot tell whether it says when a key is let go"}
	case t.Releases:
		releases.Text = "it can tell when a key is let go; drylane does not need it"
	}
	return []Finding{releases, t.Repeat.finding()}
}

func (r *Repeat) finding() Finding {
	switch {
	case r == nil:
		return Finding{Text: "no key was held down: cannot tell how fast one repeats"}
	case r.Keys < 2:
		return Finding{Grade: Good, Text: "a key that is held down comes once"}
	}
	return Finding{Grade: Good, Text: fmt.Sprintf("a key that is held down comes again after %s, then every %s: one second on a nudge key is %s", r.After, r.Every, words.Count(r.inASecond(), "nudge"))}
}

// inASecond is how many keys come in the first second.
func (r *Repeat) inASecond() int {
	if r.After.abs() > time.Second || r.Every <= 0 {
		return 1
	}
	return 2 + int((time.Second-r.After.abs())/r.Every.abs())
}
