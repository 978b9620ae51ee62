package screen

import (
	"unicode/utf8"

	"drylane/show"
)

// A Field is a line of text that is being typed.
type Field struct {
	Text string
	Most int // how many characters it takes
}

// Key does what a key does to the text; keys that type nothing do nothing.
func (f *Field) Key(key string) {
	switch {
	case key == "backspace":
		_, n := utf8.DecodeLastRuneInString(f.Text)
		f.Text = f.Text[:len(f.Text)-n]
	case key == "space":
		f.Add(" ")
	case utf8.RuneCountInString(key) == 1:
		f.Add(key)
	}
}

// Add appends what fits of s, without what a line of text may not hold.
func (f *Field) Add(s string) {
	room := f.Most - utf8.RuneCountInString(f.Text)
	for _, r := range show.Clean(s) {
		if room <= 0 {
			return
		}
		f.Text += string(r)
		room--
	}
}
