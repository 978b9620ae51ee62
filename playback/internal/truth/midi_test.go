package truth

import (
	"bytes"
	"os"
	"slices"
	"strings"
	"testing"
	"time"
)

// file builds a MIDI file of format 1 with 96 ticks in a quarter note.
func file(tracks ...string) []byte {
	b := []byte("MThd\x00\x00\x00\x06\x00\x01\x00" + string(rune(len(tracks))) + "\x00\x60")
	for _, t := range tracks {
		b = append(b, "MTrk\x00\x00\x00"+string(rune(len(t)))...)
		b = append(b, t...)
	}
	return b
}

const end = "\x00\xff\x2f\x00"

func TestReadMIDI(t *testing.T) {
	// A quarter note is 0.5 s until a tempo of 0x03d090 = 250000 us at tick 96.
	tempo := "\x60\xff\x51\x03\x03\xd0\x90" + end
	// Running status; a note on of velocity 0 is a note off; 0x81 0x40 is 192.
	notes := "\x00\x90\x3c\x40\x60\x3c\x00\x00\x40\x7f\x81\x40\x99\x24\x01" + end
	got, err := ReadMIDI(bytes.NewReader(file(tempo, notes)))
	if err != nil {
		t.Fatal(err)
	}
	want := []Note{
		{0, 0, 60, 64},
		{500 * time.Millisecond, 0, 64, 127},
		{1000 * time.Millisecond, 9, 36, 1},
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestReadMIDIRefuses(t *testing.T) {
	smpte := file(end)
	smpte[12] = 0xe8
	for name, c := range map[string]struct{ b, want string }{
		"nothing":     {"", "no MThd header"},
		"a wave file": {"RIFF1234WAVEfmt ", "no MThd header"},
		"timecode":    {string(smpte), "division of 0xe860"},
		"long chunk":  {string(file(end)[:20]), "4 bytes with 0 left"},
		"cut event":   {string(file("\x00\x90\x3c")), "ends within an event"},
		"no status":   {string(file("\x00\x3c\x40")), "without a status"},
		"endless":     {string(file("\xff\xff\xff\xff\x00")), "more than four bytes"},
	} {
		if c.b == string(file(end)[:20]) {
			c.b += "\x00\x04"
		}
		if _, err := ReadMIDI(strings.NewReader(c.b)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v, want %q", name, err, c.want)
		}
	}
}

func FuzzReadMIDI(f *testing.F) {
	f.Add(file(end))
	f.Add(file("\x60\xff\x51\x03\x03\xd0\x90"+end, "\x00\x90\x3c\x40\x60\x3c\x00"+end))
	if list, err := Pieces(); err == nil {
		b, err := os.ReadFile(list[0])
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		notes, err := ReadMIDI(bytes.NewReader(b))
		if err != nil {
			return
		}
		if !slices.IsSortedFunc(notes, func(a, b Note) int { return int(min(1, max(-1, a.At-b.At))) }) {
			t.Errorf("notes out of order: %v", notes)
		}
		for _, n := range notes {
			if n.At < 0 || n.Velocity < 1 {
				t.Errorf("found %v", n)
			}
		}
	})
}
