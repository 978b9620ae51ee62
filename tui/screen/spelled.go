package screen

import (
	"io"
	"strings"
	"sync"
	"unicode/utf8"
)

// A spelled writes text to a terminal that has no other characters than ASCII.
type spelled struct {
	to   io.Writer
	turn sync.Mutex // one write at a time
	part []byte     // of a character whose rest has not been written
}

// becoming are arrows that point from one thing to another in text that is printed: no
// key is meant.
var becoming = strings.NewReplacer("→", "->", "←", "<-")

// Spelled returns what writes text to w as a Look draws it in ASCII.
func Spelled(w io.Writer) io.Writer { return &spelled{to: w} }

// Write implements io.Writer.
func (s *spelled) Write(p []byte) (int, error) {
	s.turn.Lock()
	defer s.turn.Unlock()
	text := append(s.part, p...)
	whole := wholeRunes(text)
	s.part = append([]byte(nil), text[whole:]...)
	if whole == 0 {
		return len(p), nil
	}
	if _, err := io.WriteString(s.to, Look{ASCII: true}.Shown(becoming.Replace(string(text[:whole])))); err != nil {
		return 0, err
	}
	return len(p), nil
}

// wholeRunes is how many bytes of b are there before a last character of which more
// may come.
func wholeRunes(b []byte) int {
	for n := 1; n < utf8.UTFMax && n <= len(b); n++ {
		if at := len(b) - n; utf8.RuneStart(b[at]) {
			if !utf8.FullRune(b[at:]) {
				return at
			}
			break
		}
	}
	return len(b)
}
