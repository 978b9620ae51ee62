package inspect

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/cache"
	"drylane/playback/companion"
	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/check"
	"drylane/show/timebase"
	"drylane/testdata/reftest"
)

const sidesTracks = `
[[track]]
file = "code.wav"
left = "music mono, gain -6 dB"
right = "timecode 25 01:00:00:00 -12 dB"
[[track]]
file = "crew.wav"
left = "tone 997 Hz -20 dB"
right = "pips Beacon"
`

// sidesFolder is the demo show with two companions, made.
func sidesFolder(t *testing.T) string {
	t.Helper()
	dir := demoFolder(t)
	path := filepath.Join(dir, "show.toml")
	toml, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, append(toml, sidesTracks...), 0o644); err != nil {
		t.Fatal(err)
	}
	f, err := folder.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	b := companion.Builder{Folder: f, To: dir, Note: func(string) {}, Tell: func(string, float64) {}}
	if _, err := b.Build(t.Context()); err != nil {
		t.Fatal(err)
	}
	return dir
}

// TestMediaSides has ffmpeg code companions anew: a thin MP3 spoils the timecode
// and not the music, a good one spoils nothing, and what is cut out of a side
// is missed there. The second time the same is found, and nothing decoded.
func TestMediaSides(t *testing.T) {
	if testing.Short() {
		t.Skip("compares whole soundtracks")
	}
	ffmpeg := reftest.Tool(t, "ffmpeg")
	cache.Use(cache.New(t.TempDir(), 1<<20))
	defer cache.Use(nil)
	dir := sidesFolder(t)
	hush := "volume=0:enable='between(t,16.3,17)'" // the first word is at 16.4 s
	for _, c := range []struct {
		name       string
		code, crew []string // how they are coded
		want       []string // of the stops
	}{
		{"good", []string{"-b:a", "320k"}, []string{"-b:a", "320k"}, nil},
		{"bad", []string{"-b:a", "56k"}, []string{"-b:a", "192k", "-af", hush}, []string{
			"on its right side the timecode does not read back whole: ",
			"on its left side the tone of 997 Hz is at ",
			"on its right side 1 of 6 calls are not heard where the plan has them, the first at 0:16.400",
		}},
	} {
		stick := t.TempDir()
		for name, args := range map[string][]string{"code": c.code, "crew": c.crew} {
			args = slices.Concat([]string{"-y", "-loglevel", "error", "-i", filepath.Join(dir, name+".wav")}, args, []string{filepath.Join(stick, name+".mp3")})
			if out, err := exec.Command(ffmpeg, args...).CombinedOutput(); err != nil {
				t.Fatalf("%v: %s", err, out)
			}
		}
		var got []string
		first := mediaFindings(t, dir, stick)
		before := playback.Decoded()
		if again := mediaFindings(t, dir, stick); !reflect.DeepEqual(again, first) || playback.Decoded() != before {
			t.Errorf("%s: the second time %d frames were decoded, and found was %v, after %v", c.name, playback.Decoded()-before, again, first)
		}
		for _, f := range first.Stops() {
			if f.Code != check.CodeMediaMissing { // the music itself
				got = append(got, f.Code+" "+f.Found)
			}
		}
		ok := len(got) == len(c.want)
		for i := 0; ok && i < len(got); i++ {
			ok = strings.HasPrefix(got[i], check.CodeMediaSide+" "+c.want[i])
		}
		if !ok {
			t.Errorf("%s: stops %q, want %q", c.name, got, c.want)
		}
	}
}

// A side that carries something else than it should is told, whatever it is.
func TestEarsNotice(t *testing.T) {
	const rate, length = 24000, 10 * time.Second
	tone := func(hz, level float64) []float64 {
		list := make([]float64, timebase.FrameAt(length, rate))
		for i := range list {
			list[i] = math.Pow(10, level/20) * math.Sin(2*math.Pi*hz*float64(i)/rate)
		}
		return list
	}
	newTone := func() ear { return &toneEar{hz: 997, level: -20, to: length, rate: rate} }
	newCode := func() ear {
		e, err := newCodeEar(show.Channel{Rate: timebase.FPS25}, rate, length)
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	for _, c := range []struct {
		name  string
		ear   ear
		heard []float64
		want  string
	}{
		{"tone", newTone(), tone(997, -20), ""},
		{"softer tone", newTone(), tone(997, -30), "the tone of 997 Hz is at -30 dBFS"},
		{"another tone", newTone(), tone(1200, -20), "the tone of 997 Hz is at "},
		{"no tone", newTone(), make([]float64, rate), "the tone of 997 Hz is at -120 dBFS"},
		{"a file of nothing", newTone(), nil, "there is no room for the tone"},
		{"no timecode", newCode(), tone(997, -20), "there is no timecode"},
	} {
		c.ear.hear(c.heard)
		if got := c.ear.fault(); c.want == "" && got != "" || !strings.HasPrefix(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// The envelope of a side does not depend on its sample rate.
func TestEnvelopeOfTwoRates(t *testing.T) {
	var all [2][]float64
	for i, rate := range []int{44100, 24000} {
		e := envelope{rate: rate}
		samples := make([]float64, 2*rate)
		for n := range samples {
			samples[n] = float64(n) / float64(len(samples))
		}
		e.hear(samples[:rate/3])
		e.hear(samples[rate/3:])
		all[i] = e.part(0, 400)
	}
	for i := range all[0] {
		if math.Abs(all[0][i]-all[1][i]) > 1e-3 || all[0][i] == 0 {
			t.Fatalf("hop %d: %g and %g", i, all[0][i], all[1][i])
		}
	}
}
