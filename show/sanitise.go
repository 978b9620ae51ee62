package show

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Clean returns s as it may be shown on a terminal, in one line: line breaks
// and tabs become spaces; control, bidi, zero-width and other invisible
// characters are left out; bytes that are not UTF-8 become U+FFFD. Combining
// marks and wide characters stay; what moves the columns of some terminals and not
// of others is put otherwise. Clean(Clean(s)) == Clean(s).
func Clean(s string) string {
	if isPlain(s) {
		return s
	}
	return joinHangul(strings.Map(func(r rune) rune {
		switch {
		case isBreak(r):
			return ' '
		case unicode.IsControl(r), isHidden(r):
			return -1
		}
		return settle(r)
	}, strings.ToValidUTF8(s, "\uFFFD")))
}

// isPlain reports whether s is printable ASCII, as nearly every text is.
func isPlain(s string) bool {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' {
			return false
		}
	}
	return true
}

// isBreak reports whether r ends a line or moves along it.
func isBreak(r rune) bool {
	switch r {
	case '\t', '\n', '\v', '\f', '\r', '\u0085', '\u2028', '\u2029':
		return true
	}
	return false
}

// isHidden reports whether r draws nothing or reorders what stands beside it:
// format characters (bidi controls, zero-width spaces and joiners, tags), the
// other default-ignorable characters of Unicode, and the two selectors that
// switch between text and emoji, on whose width terminals disagree.
func isHidden(r rune) bool {
	return r == '\uFE0E' || r == '\uFE0F' ||
		unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Other_Default_Ignorable_Code_Point, r)
}

// tidy returns the text of one value of a file, cleaned and with no space at
// its ends. control reports that it held control characters other than line
// breaks and tabs, hidden that it held invisible ones: two texts that look the
// same and are not.
func tidy(raw string) (text string, control, hidden bool) {
	if isPlain(raw) {
		return strings.TrimSpace(raw), false, false
	}
	for _, r := range raw {
		switch {
		case isBreak(r):
		case unicode.IsControl(r):
			control = true
		case isHidden(r):
			hidden = true
		}
	}
	return strings.TrimSpace(Clean(raw)), control, hidden
}

// quoteLimit bounds, in characters, what a message repeats of a file.
const quoteLimit = 60

// Quote returns s cleaned, cut to quoteLimit characters and in quotes, for use
// in a message.
func Quote(s string) string { return strconv.Quote(Shorten(s, quoteLimit)) }

// Shorten returns s cleaned and, past limit characters, ended with an ellipsis.
func Shorten(s string, limit int) string {
	s = s[:min(len(s), 16*utf8.UTFMax*limit)] // whatever follows would not be seen
	s = Clean(s)
	for i := range s {
		if limit == 0 {
			return s[:i] + "…"
		}
		limit--
	}
	return s
}
