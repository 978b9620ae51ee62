package exchange

import (
	"bytes"
	"strings"
	"testing"
	"time"
)

// midi is a file of format 1 with a division and tracks.
func midi(division string, tracks ...string) []byte {
	s := "MThd\x00\x00\x00\x06\x00\x01\x00" + string(rune(len(tracks))) + division
	for _, t := range tracks {
		s += "MTrk\x00\x00\x00" + string(rune(len(t))) + t
	}
	return []byte(s)
}

const endOfTrack = "\x00\xFF\x2F\x00"

// TestSMF reads files made by hand, byte by byte, after Standard MIDI Files
// 1.0. The times beside them are worked out on paper.
func TestSMF(t *testing.T) {
	for _, c := range []struct {
		name string
		data []byte
		want []Marker
	}{
		{
			// 480 ticks a quarter note; 120 a minute for two of them (1 s), then
			// 240 a minute: tick 480 is at 0.5 s, tick 1440 at 1 s + 0.25 s.
			name: "tempo map in a track of its own, running status, a cue point",
			data: midi("\x01\xE0",
				"\x00\xFF\x51\x03\x07\xA1\x20"+"\x87\x40\xFF\x51\x03\x03\xD0\x90"+endOfTrack,
				"\x00\x90\x3C\x40"+"\x83\x60\x3C\x00"+"\x00\xFF\x06\x05Verse"+"\x00\xF0\x03\x7E\x7F\xF7"+"\x00\xC0\x05"+"\x87\x40\xFF\x07\x04Boom"+endOfTrack),
			want: []Marker{{At: 500 * time.Millisecond, Label: "Verse"}, {At: 1250 * time.Millisecond, Label: "Boom"}},
		},
		{
			name: "no tempo: 120 quarter notes a minute",
			data: midi("\x00\x60", "\x60\xFF\x06\x01a"+endOfTrack),
			want: []Marker{{At: 500 * time.Millisecond, Label: "a"}},
		},
		{
			// The last of two tempos on one tick holds: 1 s a quarter note.
			name: "two tempos at once",
			data: midi("\x00\x60", "\x00\xFF\x51\x03\x07\xA1\x20\x00\xFF\x51\x03\x0F\x42\x40\x60\xFF\x06\x01a"+endOfTrack),
			want: []Marker{{At: time.Second, Label: "a"}},
		},
		{
			// 25 frames of 40 ticks: a tick is a millisecond, whatever the tempo
			// (the example of the standard).
			name: "SMPTE 25",
			data: midi("\xE7\x28", "\x00\xFF\x51\x03\x00\x00\x01\x87\x68\xFF\x06\x01a"+endOfTrack),
			want: []Marker{{At: 1000 * time.Millisecond, Label: "a"}},
		},
		{
			// 30 frames of 1 tick at 30000/1001: 1.001 s.
			name: "SMPTE 29",
			data: midi("\xE3\x01", "\x1E\xFF\x06\x01a"+endOfTrack),
			want: []Marker{{At: 1001 * time.Millisecond, Label: "a"}},
		},
		{
			name: "a chunk of another type, and tracks out of order",
			data: append(midi("\x00\x60", "\x60\xFF\x06\x01b"+endOfTrack), "XFIH\x00\x00\x00\x02zzMTrk\x00\x00\x00\x09\x00\xFF\x06\x01a"+endOfTrack...),
			want: []Marker{{At: 0, Label: "a"}, {At: 500 * time.Millisecond, Label: "b"}},
		},
		{
			name: "a label in Latin-1 with a line break",
			data: midi("\x00\x60", "\x00\xFF\x06\x05Gr\xFC\nn"+endOfTrack),
			want: []Marker{{Label: "Grü n"}},
		},
	} {
		got, err := ReadSMFMarkers("x.mid", bytes.NewReader(c.data))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if len(got) != len(c.want) {
			t.Errorf("%s: %+v; want %+v", c.name, got, c.want)
			continue
		}
		for i := range got {
			if got[i] != c.want[i] {
				t.Errorf("%s: %+v; want %+v", c.name, got[i], c.want[i])
			}
		}
	}
}

// TestVarLen: the examples of Standard MIDI Files 1.0 (from memory).
func TestVarLen(t *testing.T) {
	for want, s := range map[int64]string{
		0: "\x00", 0x40: "\x40", 0x7F: "\x7F", 0x80: "\x81\x00", 0x2000: "\xC0\x00", 0x3FFF: "\xFF\x7F",
		0x4000: "\x81\x80\x00", 0x100000: "\xC0\x80\x00", 0x1FFFFF: "\xFF\xFF\x7F",
		0x200000: "\x81\x80\x80\x00", 0x8000000: "\xC0\x80\x80\x00", 0xFFFFFFF: "\xFF\xFF\xFF\x7F",
	} {
		got, rest, err := varLen([]byte(s + "z"))
		if got != want || string(rest) != "z" || err != nil {
			t.Errorf("% X: %#x, %q, %v; want %#x", s, got, rest, err, want)
		}
	}
	if _, _, err := varLen([]byte("\xFF\xFF\xFF\xFF\x7F")); err == nil {
		t.Error("five bytes were taken")
	}
}

func TestSMFErrors(t *testing.T) {
	for _, c := range []struct {
		name, want string
		data       []byte
	}{
		{"none", "found no markers or cue points", midi("\x00\x60", endOfTrack)},
		{"no MIDI", "a file that is not MIDI", []byte("MThd\x00\x00\x00\x06")},
		{"format 2", "a MIDI file of format 2", []byte("MThd\x00\x00\x00\x06\x00\x02\x00\x01\x00\x60MTrk\x00\x00\x00\x00")},
		{"no tracks", "without tracks", midi("\x00\x60")},
		{"division 0", "a division of 0", midi("\x00\x00", "\x00\xFF\x06\x01a"+endOfTrack)},
		{"frames of no kind", "a division of 26 frames", midi("\xE6\x01", "\x00\xFF\x06\x01a"+endOfTrack)},
		{"no end", "track 1: a track without its end", midi("\x00\x60", "\x00\xFF\x06\x01a")},
		{"a track too few", "1 of its 2 tracks", append([]byte("MThd\x00\x00\x00\x06\x00\x01\x00\x02\x00\x60"), midi("\x00\x60", "\x00\xFF\x06\x01a"+endOfTrack)[14:]...)},
		{"cut off", "track 1: a track that is cut off", midi("\x00\x60", "\x00\xFF\x06\x7Fa")},
		{"no status", "track 1: the byte 0x3C where an event begins", midi("\x00\x60", "\x00\x3C\x40")},
		{"realtime event", "the event 0xF8", midi("\x00\x60", "\x00\xF8")},
		{"bad tempo", "a tempo of 2 bytes", midi("\x00\x60", "\x00\xFF\x51\x02\x01\x02")},
		{"past a day", "more than 24 hours", midi("\x00\x01", "\xFF\xFF\xFF\x7F\xFF\x06\x01a"+endOfTrack)},
	} {
		_, err := ReadSMFMarkers("x.mid", bytes.NewReader(c.data))
		if err == nil || !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), "x.mid: ") {
			t.Errorf("%s: %v; want %q", c.name, err, c.want)
		}
	}
}

// TestSMFCutAnywhere: a file of 40 cues on two tracks, cut at each of its bytes,
// never gives some of its cues without a word.
func TestSMFCutAnywhere(t *testing.T) {
	track := func(first byte) string {
		s := ""
		for i := range byte(20) {
			s += "\x18\xFF\x06\x02" + string([]byte{'A' + first, 'a' + i})
		}
		return s + endOfTrack
	}
	whole := midi("\x00\x60", track(0), track(1))
	if got, err := ReadSMFMarkers("x.mid", bytes.NewReader(whole)); err != nil || len(got) != 40 {
		t.Fatalf("whole: %d markers, %v; want 40", len(got), err)
	}
	for n := range whole {
		got, err := ReadSMFMarkers("x.mid", bytes.NewReader(whole[:n]))
		if err == nil {
			t.Errorf("cut to %d of %d bytes: %d markers and no error", n, len(whole), len(got))
		} else if n >= 14 && !strings.Contains(err.Error(), "cut off") {
			t.Errorf("cut to %d of %d bytes: %v; want that it is cut off", n, len(whole), err)
		}
	}
	// What stands behind the last track is none of ours, whole or not.
	if got, err := ReadSMFMarkers("x.mid", bytes.NewReader(append(whole, "XFIH\x00\x00\x00\x09z"...))); err != nil || len(got) != 40 {
		t.Errorf("a chunk behind: %d markers, %v; want 40", len(got), err)
	}
}
