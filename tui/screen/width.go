package screen

import (
	"unicode"
	"unicode/utf8"

	"drylane/show/ascii"

	"github.com/mattn/go-runewidth"
)

// wide says which characters take two columns. What is ambiguous takes one,
// whatever the language of the user.
var wide = runewidth.Condition{StrictEmojiNeutral: true}

// Width is how many columns a terminal moves on for a text that show.Clean has
// cleaned. Terminals count character by character: marks stand on what is before
// them, East Asian characters and emoji take two columns, all others one. Some count
// what belongs together as one; Clean leaves nothing in which the two differ but the
// vowel signs of some Indian scripts.
func Width(s string) int {
	if ascii.Is(s) {
		return len(s)
	}
	n := 0
	for _, r := range s {
		n += columns(r)
	}
	return n
}

// columns is how many columns a character takes: 0, 1 or 2.
func columns(r rune) int {
	switch {
	case r < 0x300:
		return 1
	case unicode.In(r, unicode.Mn, unicode.Me):
		return 0
	}
	return max(1, wide.RuneWidth(r))
}

// nextCell returns the first character of s with the marks on it, and how many
// columns it takes.
func nextCell(s string) (cell string, w int) {
	r, n := utf8.DecodeRuneInString(s)
	w = columns(r)
	for n < len(s) {
		r, size := utf8.DecodeRuneInString(s[n:])
		if columns(r) > 0 {
			break
		}
		n += size
	}
	return s[:n], w
}

// cutWidth returns the longest beginning of s that is at most w columns wide.
func cutWidth(s string, w int) string {
	n := 0
	for n < len(s) {
		cell, columns := nextCell(s[n:])
		if w -= columns; w < 0 {
			break
		}
		n += len(cell)
	}
	return s[:n]
}
