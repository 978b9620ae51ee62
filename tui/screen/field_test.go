package screen

import "testing"

func TestField(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		keys []string
		want string
	}{
		{[]string{"a", "space", "é", "漢"}, "a é漢"},
		{[]string{"a", "漢", "backspace", "backspace", "backspace", "b"}, "b"},
		{[]string{"left", "f1", "ctrl+x", "enter", "tab", ""}, ""},
		{[]string{"1", "2", "3", "4", "5", "6", "7"}, "12345"},
		{[]string{"\u202e", "\x1b", "a"}, "a"}, // no text direction, no escape
	} {
		f := Field{Most: 5}
		for _, k := range tt.keys {
			f.Key(k)
		}
		if f.Text != tt.want {
			t.Errorf("%q: %q, want %q", tt.keys, f.Text, tt.want)
		}
	}
	f := Field{Text: "on", Most: 5}
	if f.Add("e\x1b[2Jtwo"); f.Text != "one[2" {
		t.Errorf("added: %q", f.Text)
	}
}
