package exchange

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"drylane/show"
	"drylane/testdata/reftest"

	"pgregory.net/rapid"
)

// chunk is one RIFF chunk.
func chunk(id string, body ...byte) []byte {
	b := append(binary.LittleEndian.AppendUint32([]byte(id), uint32(len(body))), body...)
	return append(b, make([]byte, len(body)%2)...)
}

// riff is a WAVE file of 8-bit mono frames at a rate, with more chunks behind.
func riff(rate uint32, frames int, more ...[]byte) []byte {
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

// TestMarkWAVBytes holds a whole file against the layout of the RIFF
// specification (Multimedia Programming Interface and Data Specifications 1.0,
// 1991): a cue chunk of 24 bytes a point, and a LIST chunk of type adtl.
func TestMarkWAVBytes(t *testing.T) {
	var out bytes.Buffer
	replaced, late, err := MarkWAV("a.wav", &out, bytes.NewReader(riff(1000, 3)), []Marker{
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

// probe returns the chapters that ffprobe finds: frame and title.
func probe(t *testing.T, path string) (starts []int64, titles []string) {
	t.Helper()
	out, err := exec.Command(reftest.Tool(t, "ffprobe"), "-v", "error", "-show_chapters", "-of", "json", path).Output()
	if err != nil {
		t.Fatal(err)
	}
	var v struct {
		Chapters []struct {
			Start int64
			Tags  struct{ Title string }
		}
	}
	if err := json.Unmarshal(out, &v); err != nil {
		t.Fatal(err)
	}
	for _, c := range v.Chapters {
		starts, titles = append(starts, c.Start), append(titles, c.Tags.Title)
	}
	return starts, titles
}

// raw is the sound of a file as sox decodes it.
func raw(t *testing.T, path string) []byte {
	t.Helper()
	out, err := exec.Command(reftest.Tool(t, "sox"), path, "-t", "raw", "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// TestMarkersAgainstReferences: ffprobe finds every marker on its frame with
// its label, and sox the same sound as before, in RIFF and in RF64 files that
// ffmpeg made.
func TestMarkersAgainstReferences(t *testing.T) {
	ffmpeg := reftest.Tool(t, "ffmpeg")
	cues := []show.Cue{
		{ID: "1", EffectAt: 250 * time.Millisecond, Position: "A", Effect: "red peony"},
		{ID: "2b", EffectAt: 1001 * time.Millisecond, Position: "B", Effect: "Kühle Welle", Note: `a, "b"`},
		{ID: "3", EffectAt: 1999 * time.Millisecond, Position: "A"},
	}
	for _, c := range []struct{ name, rf64, rate string }{{"riff", "never", "44100"}, {"rf64", "always", "48000"}} {
		in, out := filepath.Join(t.TempDir(), "in.wav"), filepath.Join(t.TempDir(), "out.wav")
		if b, err := exec.Command(ffmpeg, "-loglevel", "error", "-f", "lavfi", "-i", "anoisesrc=d=2:r="+c.rate, "-rf64", c.rf64, in).CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, b)
		}
		src, err := os.Open(in)
		if err != nil {
			t.Fatal(err)
		}
		defer src.Close()
		var b bytes.Buffer
		if _, _, err := MarkWAV("in.wav", &b, src, CueMarkers(cues)); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(out, b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		starts, titles := probe(t, out)
		rate, _ := strconv.ParseInt(c.rate, 10, 64)
		if len(starts) != len(cues) {
			t.Fatalf("%s: ffprobe finds %d chapters; want %d", c.name, len(starts), len(cues))
		}
		for i, cue := range cues {
			if want := cue.EffectAt.Milliseconds() * rate; (starts[i]*1000-want) > 500 || (want-starts[i]*1000) > 500 {
				t.Errorf("%s: ffprobe has cue %s on frame %d; want the one nearest %v", c.name, cue.ID, starts[i], cue.EffectAt)
			}
			if want := strings.TrimSpace(cue.ID + " " + cue.Effect); titles[i] != want {
				t.Errorf("%s: ffprobe reads the label %q; want %q", c.name, titles[i], want)
			}
		}
		if !bytes.Equal(raw(t, in), raw(t, out)) {
			t.Errorf("%s: the sound has changed", c.name)
		}
	}
}

// TestMarkersRoundTrip: cues come back from the markers of a WAV file as they
// were, at any sample rate that a soundtrack may have.
func TestMarkersRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := cues(t)
		rate := rapid.SampledFrom([]uint32{22050, 44100, 48000, 88200, 96000}).Draw(t, "rate")
		var out bytes.Buffer
		if _, _, err := MarkWAV("a.wav", &out, bytes.NewReader(riff(rate, 7)), CueMarkers(want)); err != nil {
			t.Fatal(err)
		}
		table, err := ReadMarkers("a.wav", bytes.NewReader(out.Bytes()))
		if err != nil {
			t.Fatal(err)
		}
		// A profile for some text does not touch what we wrote ourselves.
		res, err := Convert(table, Profile{Decimal: ",", Notation: Milliseconds, CaliberUnit: Inches})
		if err != nil || len(res.Skipped) > 0 || len(res.Notes) > 0 {
			t.Fatalf("%v %+v", err, res)
		}
		if !sameCues(res.Cues, want) {
			t.Fatalf("%+v\nwant %+v", res.Cues, want)
		}
	})
}

func TestMarkersAreReplaced(t *testing.T) {
	var once, twice bytes.Buffer
	src := riff(1000, 10, chunk("LIST", []byte("INFOINAM\x02\x00\x00\x00x\x00")...))
	if _, _, err := MarkWAV("a", &once, bytes.NewReader(src), []Marker{{At: 1e6, Label: "a"}, {At: 2e6, Label: "b"}}); err != nil {
		t.Fatal(err)
	}
	replaced, late, err := MarkWAV("a", &twice, bytes.NewReader(once.Bytes()), []Marker{{At: 5e9, Label: "c"}})
	if err != nil || replaced != 2 || late != 1 {
		t.Errorf("replaced %d, late %d, %v; want 2 and 1", replaced, late, err)
	}
	markers, err := ReadWAVMarkers("a", bytes.NewReader(twice.Bytes()))
	if err != nil || len(markers) != 1 || markers[0].Label != "c" || markers[0].At != 5*time.Second {
		t.Errorf("%+v, %v", markers, err)
	}
	if !strings.Contains(twice.String(), "INFOINAM") {
		t.Error("a list that is none of markers was lost")
	}
}

// TestForeignMarkers: what another program may write: the position left empty,
// a region, Latin-1 labels, the cue chunk before the sound.
func TestForeignMarkers(t *testing.T) {
	point := append([]byte{9, 0, 0, 0, 0, 0, 0, 0}, []byte("data\x00\x00\x00\x00\x00\x00\x00\x00\xf4\x01\x00\x00")...)
	list := append([]byte("adtl"), chunk("labl", append([]byte{9, 0, 0, 0}, "Gr\xfcn\x00"...)...)...)
	list = append(list, chunk("ltxt", append([]byte{9, 0, 0, 0, 0xfa, 0, 0, 0}, make([]byte, 12)...)...)...)
	src := riff(1000, 4, chunk("cue ", append([]byte{1, 0, 0, 0}, point...)...), chunk("LIST", list...))
	table, err := ReadMarkers("x.wav", bytes.NewReader(src))
	if err != nil {
		t.Fatal(err)
	}
	res, err := Convert(table, Profile{Fill: map[Column]string{Position: "A"}})
	if err != nil || len(res.Cues) != 1 {
		t.Fatal(err, res)
	}
	if got, want := line(res.Cues[0]), "1|500ms|0s|A||0|Grün|0|250ms|"; got != want {
		t.Errorf("%s; want %s", got, want)
	}
	res, err = Convert(table, Profile{Zero: "0:00.400", Fill: map[Column]string{Position: "A"}})
	if err != nil || res.Cues[0].EffectAt != 100*time.Millisecond {
		t.Errorf("%v %+v; want the cue 100 ms after the zero", err, res)
	}
	res, err = Convert(table, Profile{Map: map[Column][]Ref{Position: {{Name: "position"}}}})
	if err != nil || len(res.Skipped) != 1 || !strings.HasPrefix(res.Skipped[0].Problems.Error(), "x.wav, marker 1: found no position") {
		t.Errorf("%v %+v", err, res)
	}
}

func TestWAVErrors(t *testing.T) {
	cue := func(n byte, points int) []byte {
		return chunk("cue ", append([]byte{n, 0, 0, 0}, make([]byte, 24*points)...)...)
	}
	many := chunk("cue ", append([]byte{0xff, 0xff, 0xff, 0x7f}, make([]byte, 24)...)...)
	for _, c := range []struct {
		name, want string
		data       []byte
	}{
		{"none", "found no cue points", riff(1000, 4)},
		{"empty chunk", "found no cue points", riff(1000, 4, cue(0, 0))},
		{"fewer than stated", "says it has 3 cue points and holds 1", riff(1000, 4, cue(3, 1))},
		{"a lie", "says it has 2147483647 cue points", riff(1000, 4, many)},
		{"no format", "without a sample rate", []byte("RIFF\x0c\x00\x00\x00WAVEdata\x00\x00\x00\x00")},
		{"no sound", "without any sound data", append([]byte("RIFF\x1c\x00\x00\x00WAVE"), riff(1000, 0)[12:36]...)},
		{"not WAVE", "neither a WAV nor a MIDI file", []byte("cue,effect_at\n")},
		{"RIFF of another kind", "no WAV file", []byte("RIFF\x04\x00\x00\x00AVI ")},
	} {
		_, err := ReadMarkers("x.wav", bytes.NewReader(c.data))
		if err == nil || !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), "x.wav: ") {
			t.Errorf("%s: %v; want %q", c.name, err, c.want)
		}
	}
	if _, _, err := MarkWAV("x.wav", new(bytes.Buffer), bytes.NewReader(riff(96000, 4)), []Marker{{At: 15 * time.Hour}}); err == nil || !strings.Contains(err.Error(), "4294967295") {
		t.Errorf("a marker past the last frame that can be marked: %v", err)
	}
}
