package screen

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func names(in []Input) []string {
	var out []string
	for _, i := range in {
		switch {
		case i.Mouse != nil:
			out = append(out, fmt.Sprintf("mouse %d,%d,%d", i.Mouse.X, i.Mouse.Y, i.Mouse.Wheel))
		case i.Paste != "":
			out = append(out, "paste "+i.Paste)
		default:
			out = append(out, i.Key)
		}
	}
	return out
}

// The sequences are those of ECMA-48 and of xterm's control sequences.
func TestDecode(t *testing.T) {
	t.Parallel()
	for in, want := range map[string]string{
		"a":                              "a",
		"jjj q":                          "j|j|j|space|q",
		"\x1b[D\x1b[C\x1b[1;2D\x1b[1;6C": "left|right|shift+left|ctrl+shift+right",
		"\x1bOA\x1bOB":                   "up|down",
		"\r\t\x7f\x08":                   "enter|tab|backspace|backspace",
		"\x03\x1a":                       "ctrl+c|ctrl+z",
		"\x1b[5~\x1b[6~":                 "pgup|pgdown",
		"é漢":                             "é|漢",
		"\x1b[<0;10;5M\x1b[<0;10;5m":     "mouse 9,4,0",
		"\x1b[<64;1;1M\x1b[<65;1;1M":     "mouse 0,0,-1|mouse 0,0,1",
		"\x1b[200~a b\x1b[201~x":         "paste a b|x",
		"\x1b[I\x1b[O\x1b[?1;2c":         "",
		"\x1bj":                          "alt+j",
		"\xff\xfea":                      "a",
		"\x1b[\x03":                      "ctrl+c",
		"\x00\x1c":                       "",
	} {
		var d decoder
		got := strings.Join(names(append(d.feed([]byte(in)), d.flush()...)), "|")
		if got != want {
			t.Errorf("%q: got %q, want %q", in, got, want)
		}
	}
}

func TestDecodeEscapeAlone(t *testing.T) {
	t.Parallel()
	var d decoder
	if got := d.feed([]byte("\x1b")); len(got) != 0 {
		t.Errorf("an escape was taken before its time: %q", names(got))
	}
	if got := names(d.flush()); !slices.Equal(got, []string{"esc"}) {
		t.Errorf("got %q", got)
	}
	if got := names(append(d.feed([]byte("\x1b")), d.feed([]byte("[A"))...)); !slices.Equal(got, []string{"up"}) {
		t.Errorf("a sequence in two reads: %q", got)
	}
}

// TestDecodeInPieces: however the bytes are cut, the inputs are the same.
func TestDecodeInPieces(t *testing.T) {
	t.Parallel()
	parts := []string{"a", " ", "\r", "é", "\x1b[A", "\x1b[1;2C", "\x1b[5~", "\x1b[<0;3;4M", "\x1b[200~some text\x1b[201~", "\x7f"}
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOf(rapid.SampledFrom(parts)).Draw(t, "keys"), "")
		var whole, cut decoder
		want := names(whole.feed([]byte(text)))
		var got []string
		for rest := []byte(text); len(rest) > 0; {
			n := rapid.IntRange(1, len(rest)).Draw(t, "piece")
			got = append(got, names(cut.feed(rest[:n]))...)
			rest = rest[n:]
		}
		if !slices.Equal(got, want) {
			t.Fatalf("%q: got %q, want %q", text, got, want)
		}
	})
}

func FuzzDecode(f *testing.F) {
	f.Add([]byte("\x1b[1;2A\x1b[<0;1;1M\x1b[200~x\x1b[201~"), 3)
	f.Fuzz(func(t *testing.T, b []byte, cut int) {
		var d decoder
		cut = max(0, min(cut, len(b)))
		for _, in := range append(d.feed(b[:cut]), append(d.feed(b[cut:]), d.flush()...)...) {
			if in.Key == "" && in.Mouse == nil && in.Paste == "" {
				t.Error("an input that is nothing")
			}
			if strings.ContainsAny(in.Key, "\x1b\x00\n") {
				t.Errorf("a key named %q", in.Key)
			}
		}
		if len(d.pending) > maxSequence+len(pasteEnd) || len(d.paste) > 4096 {
			t.Errorf("%d bytes pending, %d pasted", len(d.pending), len(d.paste))
		}
	})
}
