package riff

import (
	"bytes"
	"encoding/binary"
	"errors"
	"strings"
	"testing"
	"time"
)

// chunk is one RIFF chunk.
func chunk(id string, body ...byte) []byte {
	b := append(binary.LittleEndian.AppendUint32([]byte(id), uint32(len(body))), body...)
	return append(b, make([]byte, len(body)%2)...)
}

// wave is a WAVE file of 8-bit mono frames at a rate, with more chunks behind.
func wave(rate uint32, frames int, more ...[]byte) []byte {
	le := binary.LittleEndian
	format := le.AppendUint32([]byte{1, 0, 1, 0}, rate)
	format = append(le.AppendUint32(format, rate), 1, 0, 8, 0)
	body := append([]byte("WAVE"), chunk("fmt ", format...)...)
	sound := make([]byte, frames)
	for i := range sound {
		sound[i] = byte(i)
	}
	body = append(body, chunk("data", sound...)...)
	for _, m := range more {
		body = append(body, m...)
	}
	return append(le.AppendUint32([]byte("RIFF"), uint32(len(body))), body...)
}

// TestWriteMarkersBytes holds a whole file against the layout of the RIFF
// specification (Multimedia Programming Interface and Data Specifications 1.0,
// 1991): a cue chunk of 24 bytes a point, and a LIST chunk of type adtl.
func TestWriteMarkersBytes(t *testing.T) {
	var out bytes.Buffer
	replaced, late, err := WriteMarkers(&out, bytes.NewReader(wave(1000, 3)), []Marker{
		{At: 2 * time.Millisecond, Label: "ab", Note: "n"}, {At: time.Millisecond, Label: "c"},
	})
	if err != nil || replaced != 0 || late != 0 {
		t.Fatal(replaced, late, err)
	}
	want := "RIFF" + "\x9c\x00\x00\x00" + "WAVE" +
		"fmt \x10\x00\x00\x00" + "\x01\x00\x01\x00\xe8\x03\x00\x00\xe8\x03\x00\x00\x01\x00\x08\x00" +
		"data\x03\x00\x00\x00" + "\x00\x01\x02" + "\x00" +
		"cue \x34\x00\x00\x00" + "\x02\x00\x00\x00" +
		"\x01\x00\x00\x00\x01\x00\x00\x00data\x00\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00\x00" +
		"\x02\x00\x00\x00\x02\x00\x00\x00data\x00\x00\x00\x00\x00\x00\x00\x00\x02\x00\x00\x00" +
		"LIST\x30\x00\x00\x00adtl" +
		"labl\x06\x00\x00\x00\x01\x00\x00\x00c\x00" +
		"labl\x07\x00\x00\x00\x02\x00\x00\x00ab\x00\x00" +
		"note\x06\x00\x00\x00\x02\x00\x00\x00n\x00"
	if got := out.String(); got != want {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

func TestMarkersAreReplaced(t *testing.T) {
	var once, twice bytes.Buffer
	src := wave(1000, 10, chunk("LIST", []byte("INFOINAM\x02\x00\x00\x00x\x00")...))
	if _, _, err := WriteMarkers(&once, bytes.NewReader(src), []Marker{{At: 1e6, Label: "a"}, {At: 2e6, Label: "b"}}); err != nil {
		t.Fatal(err)
	}
	replaced, late, err := WriteMarkers(&twice, bytes.NewReader(once.Bytes()), []Marker{{At: 5e9, Label: "c"}})
	if err != nil || replaced != 2 || late != 1 {
		t.Errorf("replaced %d, late %d, %v; want 2 and 1", replaced, late, err)
	}
	markers, err := ReadMarkers(bytes.NewReader(twice.Bytes()))
	if err != nil || len(markers) != 1 || markers[0].Label != "c" || markers[0].At != 5*time.Second {
		t.Errorf("%+v, %v", markers, err)
	}
	if !strings.Contains(twice.String(), "INFOINAM") {
		t.Error("a list that is none of markers was lost")
	}
}

func TestMarkerErrors(t *testing.T) {
	cue := func(n byte, points int) []byte {
		return chunk("cue ", append([]byte{n, 0, 0, 0}, make([]byte, 24*points)...)...)
	}
	many := chunk("cue ", append([]byte{0xff, 0xff, 0xff, 0x7f}, make([]byte, 24)...)...)
	for _, c := range []struct {
		name, want string
		data       []byte
	}{
		{"none", "found no cue points", wave(1000, 4)},
		{"empty chunk", "found no cue points", wave(1000, 4, cue(0, 0))},
		{"fewer than stated", "says it has 3 cue points and has 1", wave(1000, 4, cue(3, 1))},
		{"a lie", "says it has 2147483647 cue points", wave(1000, 4, many)},
		{"no format", "without a sample rate", []byte("RIFF\x0c\x00\x00\x00WAVEdata\x00\x00\x00\x00")},
		{"no sound", "without any sound data", append([]byte("RIFF\x1c\x00\x00\x00WAVE"), wave(1000, 0)[12:36]...)},
		{"not WAVE", "a file that is not WAV", []byte("cue,effect_at\n")},
		{"RIFF of another kind", "a file that is not WAV", []byte("RIFF\x04\x00\x00\x00AVI ")},
	} {
		_, err := ReadMarkers(bytes.NewReader(c.data))
		if wrong := new(Error); !errors.As(err, &wrong) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v; want %q", c.name, err, c.want)
		}
	}
	if _, _, err := WriteMarkers(new(bytes.Buffer), bytes.NewReader(wave(96000, 4)), []Marker{{At: 15 * time.Hour}}); err == nil || !strings.Contains(err.Error(), "4294967295") {
		t.Errorf("a marker past the last frame that can be marked: %v", err)
	}
}

func FuzzMarkers(f *testing.F) {
	var marked bytes.Buffer
	WriteMarkers(&marked, bytes.NewReader(wave(44100, 5)), []Marker{{At: 5e9, Label: "a", Note: "cue=a,pin=1"}})
	f.Add(marked.Bytes())
	f.Add(wave(1000, 3))
	f.Add([]byte("RF64\xff\xff\xff\xffWAVEds64\x1c\x00\x00\x00\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\xff\x7f"))
	f.Fuzz(func(t *testing.T, data []byte) {
		markers, err := ReadMarkers(bytes.NewReader(data))
		if wrong := new(Error); err != nil && !errors.As(err, &wrong) {
			t.Fatalf("error %v", err)
		}
		for _, m := range markers {
			if m.At < 0 || m.Length < 0 {
				t.Fatalf("%+v", m)
			}
		}
		var out bytes.Buffer
		if _, _, err := WriteMarkers(&out, bytes.NewReader(data), []Marker{{At: 1e6, Label: "z"}}); err != nil {
			return
		}
		again, err := ReadMarkers(bytes.NewReader(out.Bytes()))
		if err != nil || len(again) != 1 || again[0].Label != "z" {
			t.Fatalf("marked and read back: %+v, %v", again, err)
		}
	})
}
