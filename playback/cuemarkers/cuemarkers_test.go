package cuemarkers

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"drylane/playback/riff"
	"drylane/playback/wavtest"
	"drylane/show"
	"drylane/show/exchange"
	"drylane/testdata/reftest"

	"pgregory.net/rapid"
)

// wave is a WAVE file of so many frames at a rate.
func wave(t testing.TB, rate, frames int) []byte {
	t.Helper()
	path := filepath.Join(t.TempDir(), "wave.wav")
	wavtest.Write(t, path, rate, 1, make([][2]float64, frames))
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
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
		if _, _, err := Write("in.wav", &b, src, cues); err != nil {
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

// TestRoundTrip: cues come back from the markers of a WAV file on their
// millisecond, at any sample rate that a soundtrack may have.
func TestRoundTrip(t *testing.T) {
	waves := map[int][]byte{}
	for _, rate := range []int{22050, 44100, 48000, 88200, 96000} {
		waves[rate] = wave(t, rate, 7)
	}
	rapid.Check(t, func(t *rapid.T) {
		var want []show.Cue
		for i, ms := range rapid.SliceOfN(rapid.Int64Range(0, 3_600_000), 1, 12).Draw(t, "at") {
			want = append(want, show.Cue{
				ID: fmt.Sprint("c", i), EffectAt: time.Duration(ms) * time.Millisecond, Position: "Mole, east",
				Effect: rapid.SampledFrom([]string{"", "red peony", "Kühle Welle", "=1+1"}).Draw(t, "effect"),
			})
		}
		var out bytes.Buffer
		rate := rapid.SampledFrom(slices.Sorted(maps.Keys(waves))).Draw(t, "rate")
		if _, _, err := Write("a.wav", &out, bytes.NewReader(waves[rate]), want); err != nil {
			t.Fatal(err)
		}
		table, err := Read("a.wav", bytes.NewReader(out.Bytes()))
		if err != nil {
			t.Fatal(err)
		}
		res, err := exchange.Convert(table, exchange.Profile{})
		if err != nil || len(res.Skipped) > 0 || len(res.Cues) != len(want) {
			t.Fatalf("%v %+v", err, res)
		}
		got := map[string]show.Cue{}
		for _, c := range res.Cues {
			got[c.ID] = c
		}
		for _, c := range want {
			if g := got[c.ID]; g.EffectAt != c.EffectAt || g.Position != c.Position || g.Effect != c.Effect {
				t.Fatalf("%+v; want %+v", g, c)
			}
		}
	})
}

// TestForeignMarkers: what another program may write: the position left empty,
// a region, Latin-1 labels, the cue chunk before the sound.
func TestForeignMarkers(t *testing.T) {
	point := append([]byte{9, 0, 0, 0, 0, 0, 0, 0}, []byte("data\x00\x00\x00\x00\x00\x00\x00\x00\xf4\x01\x00\x00")...)
	list := append([]byte("adtl"), riff.AppendChunk(nil, "labl", append([]byte{9, 0, 0, 0}, "Gr\xfcn\x00"...))...)
	list = append(list, riff.AppendChunk(nil, "ltxt", append([]byte{9, 0, 0, 0, 0xfa, 0, 0, 0}, make([]byte, 12)...))...)
	src := riff.AppendChunk(wave(t, 1000, 4), "cue ", append([]byte{1, 0, 0, 0}, point...))
	src = riff.AppendChunk(src, "LIST", list)
	table, err := Read("x.wav", bytes.NewReader(src))
	if err != nil {
		t.Fatal(err)
	}
	res, err := exchange.Convert(table, exchange.Profile{Fill: map[exchange.Column]string{exchange.Position: "A"}})
	if err != nil || len(res.Cues) != 1 {
		t.Fatal(err, res)
	}
	if c := res.Cues[0]; c.ID != "1" || c.EffectAt != 500*time.Millisecond || c.Position != "A" || c.Effect != "Grün" || c.Burn != 250*time.Millisecond || c.Prefire != 0 {
		t.Errorf("%+v", c)
	}
	res, err = exchange.Convert(table, exchange.Profile{Zero: "0:00.400", Fill: map[exchange.Column]string{exchange.Position: "A"}})
	if err != nil || res.Cues[0].EffectAt != 100*time.Millisecond {
		t.Errorf("%v %+v; want the cue 100 ms after the zero", err, res)
	}
	res, err = exchange.Convert(table, exchange.Profile{Map: map[exchange.Column][]exchange.Ref{exchange.Position: {{Name: "position"}}}})
	if err != nil || len(res.Skipped) != 1 || !strings.HasPrefix(res.Skipped[0].Problems.Error(), "x.wav, marker 1: found no position") {
		t.Errorf("%v %+v", err, res)
	}
}

func TestReadErrors(t *testing.T) {
	for _, c := range []struct {
		name, data, want, code string
	}{
		{"none", string(wave(t, 1000, 4)), "x.wav: found no cue points; wanted a file with markers in it", show.CodeMissing},
		{"neither", "cue,effect_at\n", "x.wav: found a file that is neither WAV nor MIDI; wanted " + wanted, show.CodeFile},
		{"another kind of RIFF", "RIFF\x04\x00\x00\x00AVI ", "x.wav: found a file that is not WAV", show.CodeFile},
		{"broken MIDI", "MThd", "x.wav: found a file that is not MIDI", show.CodeFile},
	} {
		_, err := Read("x.wav", strings.NewReader(c.data))
		if p := (show.Problem{}); !errors.As(err, &p) || p.Code != c.code || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%s: %v; want %q", c.name, err, c.want)
		}
	}
	_, _, err := Write("x.wav", new(bytes.Buffer), strings.NewReader("none"), nil)
	if err == nil || !strings.HasPrefix(err.Error(), "x.wav: found a file that is not WAV") {
		t.Errorf("no WAV file to write into: %v", err)
	}
}

// FuzzRead: what is read of any file becomes cues that a show may hold, or is
// skipped with a reason.
func FuzzRead(f *testing.F) {
	var marked bytes.Buffer
	Write("x", &marked, bytes.NewReader(wave(f, 44100, 5)), []show.Cue{{ID: "a", EffectAt: 5 * time.Second, Pin: 1}})
	f.Add(marked.Bytes())
	f.Fuzz(func(t *testing.T, data []byte) {
		table, err := Read("x", bytes.NewReader(data))
		if err != nil {
			return
		}
		res, err := exchange.Convert(table, exchange.Profile{Fill: map[exchange.Column]string{exchange.Position: "A"}})
		if err != nil {
			return
		}
		if n := len(res.Cues) + len(res.Skipped) + res.Blank; n != len(table.Rows) {
			t.Fatalf("%d of %d markers accounted for", n, len(table.Rows))
		}
		for _, c := range res.Cues {
			if c.ID == "" || c.Position == "" || c.IgniteAt() < 0 || c.EffectAt > show.MaxTime {
				t.Fatalf("%+v", c)
			}
		}
		for _, s := range res.Skipped {
			if len(s.Problems) == 0 || show.Clean(s.Text) != s.Text {
				t.Fatalf("%+v", s)
			}
		}
	})
}
