package screen

import (
	"bytes"
	"strconv"
	"strings"
	"unicode/utf8"
)

// A decoder turns the bytes of a terminal into inputs, one a key, however
// many arrive at once. Sequences it does not know vanish; none becomes a key.
type decoder struct {
	pending []byte
	pasting bool
	paste   []byte
}

// maxSequence bounds what is kept of an unfinished sequence.
const maxSequence = 64

var pasteEnd = []byte("\x1b[201~")

// feed decodes b. An escape at its end may be a key or the beginning of a
// sequence: it stays pending until more comes, or flush.
func (d *decoder) feed(b []byte) (out []Input) {
	b = append(d.pending, b...)
	d.pending = nil
	for len(b) > 0 {
		if d.pasting {
			b = d.feedPaste(b, &out)
			continue
		}
		n, in, ok := decodeOne(b)
		if n == 0 { // unfinished
			if len(b) > maxSequence {
				b = b[1:]
				continue
			}
			d.pending = append([]byte(nil), b...)
			return out
		}
		b = b[n:]
		switch {
		case !ok:
		case in.Key == "paste":
			d.pasting, d.paste = true, nil
		default:
			out = append(out, in)
		}
	}
	return out
}

// feedPaste takes pasted text up to its end mark. No more than 4 kB are kept.
func (d *decoder) feedPaste(b []byte, out *[]Input) (rest []byte) {
	i := bytes.Index(b, pasteEnd)
	if i < 0 {
		keep := min(len(b), len(pasteEnd)-1) // the mark may be cut in two
		d.paste = append(d.paste, b[:len(b)-keep]...)
		d.paste = d.paste[:min(len(d.paste), 4096)]
		d.pending = append([]byte(nil), b[len(b)-keep:]...)
		return nil
	}
	d.paste = append(d.paste, b[:i]...)
	if text := d.paste[:min(len(d.paste), 4096)]; len(text) > 0 {
		*out = append(*out, Input{Paste: string(text)})
	}
	d.pasting, d.paste = false, nil
	return b[i+len(pasteEnd):]
}

// flush takes what is pending as it stands: an escape by itself is the key.
func (d *decoder) flush() (out []Input) {
	if d.pasting { // the end mark got lost: nothing may keep the keys from working
		text := append(d.paste, d.pending...)
		if len(text) > 0 {
			out = append(out, Input{Paste: string(text[:min(len(text), 4096)])})
		}
		d.pasting, d.paste, d.pending = false, nil, nil
		return out
	}
	if len(d.pending) > 0 && d.pending[0] == 0x1b {
		out = append(out, Input{Key: "esc"})
		d.pending = nil
	}
	return out
}

// decodeOne decodes the first input of b and returns its length, 0 if it is
// not all there. ok is false for what means nothing to a screen.
func decodeOne(b []byte) (n int, in Input, ok bool) {
	switch c := b[0]; {
	case c == 0x1b:
		return decodeEscape(b)
	case c == '\r' || c == '\n':
		return 1, Input{Key: "enter"}, true
	case c == '\t':
		return 1, Input{Key: "tab"}, true
	case c == 0x7f || c == 0x08:
		return 1, Input{Key: "backspace"}, true
	case c == ' ':
		return 1, Input{Key: "space"}, true
	case c == 0:
		return 1, Input{}, false
	case c < 0x1b:
		return 1, Input{Key: "ctrl+" + string(rune('a'+c-1))}, true
	case c < 0x20:
		return 1, Input{}, false
	}
	if !utf8.FullRune(b) {
		return 0, Input{}, false
	}
	r, n := utf8.DecodeRune(b)
	return n, Input{Key: string(r)}, r != utf8.RuneError
}

func decodeEscape(b []byte) (n int, in Input, ok bool) {
	if len(b) == 1 {
		return 0, Input{}, false
	}
	switch b[1] {
	case '[':
		return decodeCSI(b)
	case 'O': // application cursor keys
		if len(b) < 3 {
			return 0, Input{}, false
		}
		name, ok := cursorKeys[b[2]]
		return 3, Input{Key: name}, ok
	case 0x1b:
		return 1, Input{Key: "esc"}, true
	}
	if !utf8.FullRune(b[1:]) {
		return 0, Input{}, false
	}
	r, n := utf8.DecodeRune(b[1:])
	if r <= ' ' { // escape and then another key, in one read
		return 1, Input{Key: "esc"}, true
	}
	return 1 + n, Input{Key: "alt+" + string(r)}, true
}

var cursorKeys = map[byte]string{'A': "up", 'B': "down", 'C': "right", 'D': "left", 'H': "home", 'F': "end"}

var numberedKeys = map[string]string{"1": "home", "2": "insert", "3": "delete", "4": "end", "5": "pgup", "6": "pgdown", "7": "home", "8": "end"}

// decodeCSI decodes ESC [ parameters final, as ECMA-48 has it.
func decodeCSI(b []byte) (n int, in Input, ok bool) {
	i := 2
	for i < len(b) && (b[i] < 0x40 || b[i] > 0x7e) {
		if b[i] < 0x20 {
			return i, Input{}, false // broken off by a control character
		}
		i++
	}
	if i == len(b) {
		return 0, Input{}, false
	}
	params, final := string(b[2:i]), b[i]
	n = i + 1
	if mouse, found := strings.CutPrefix(params, "<"); found {
		in.Mouse = decodeMouse(mouse, final)
		return n, in, in.Mouse != nil
	}
	code, mods, _ := strings.Cut(params, ";")
	var name string
	switch {
	case final == 'Z':
		return n, Input{Key: "shift+tab"}, true
	case final == '~' && code == "200":
		return n, Input{Key: "paste"}, true
	case final == '~':
		name = numberedKeys[code]
	default:
		name = cursorKeys[final]
	}
	return n, Input{Key: modifier(mods) + name}, name != ""
}

// modifier names the modifier parameter of a CSI key.
func modifier(mods string) string {
	m, err := strconv.Atoi(mods)
	if err != nil || m < 2 || m > 16 {
		return ""
	}
	m--
	var s string
	for _, x := range []struct {
		bit  int
		name string
	}{{4, "ctrl+"}, {2, "alt+"}, {1, "shift+"}} {
		if m&x.bit != 0 {
			s += x.name
		}
	}
	return s
}

// decodeMouse decodes an SGR mouse report: presses of the first button and
// turns of the wheel.
func decodeMouse(params string, final byte) *MouseMsg {
	f := strings.Split(params, ";")
	if len(f) != 3 {
		return nil
	}
	var v [3]int
	for i := range v {
		n, err := strconv.Atoi(f[i])
		if err != nil || n < 0 || n > 10000 {
			return nil
		}
		v[i] = n
	}
	m := &MouseMsg{X: v[1] - 1, Y: v[2] - 1}
	switch v[0] {
	case 0:
		if final != 'M' {
			return nil
		}
	case 64:
		m.Wheel = -1
	case 65:
		m.Wheel = 1
	default:
		return nil
	}
	return m
}
