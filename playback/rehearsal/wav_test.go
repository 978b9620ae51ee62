package rehearsal

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"drylane/playback"
	"drylane/playback/folder"
	"drylane/playback/sink"
	"drylane/playback/synth"
	"drylane/show"
	"drylane/show/session"
	"drylane/testdata"

	"github.com/faiface/beep"
)

// readAll reads a sound file as it is.
func readAll(t *testing.T, s beep.StreamSeeker) [][2]float64 {
	t.Helper()
	frames := make([][2]float64, s.Len())
	for n := 0; n < len(frames); {
		k, ok := s.Stream(frames[n:])
		if n += k; !ok {
			t.Fatalf("%d frames of %d: %v", n, len(frames), s.Err())
		}
	}
	return frames
}

// TestEveryReportInTheFile rehearses the demo into a WAV file, with holds,
// nudges and a stand-down, and holds every frame of the file against the
// soundtrack with each fired cue's bang laid in at the frame in the log. A
// bang that is missing, or one frame off, shows.
func TestEveryReportInTheFile(t *testing.T) {
	dir := t.TempDir()
	l, err := folder.OpenFS("demo", testdata.Demo())
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	steps, err := show.ParseScript("script", strings.NewReader(`
		+0 arm
		+1 start
		20 nudge earlier 0.3
		31.07 hold
		+2.2 nudge later 0.7
		+1 resume anyway
		60 stand down position Mole
		67.313 hold
		+0.4 resume anyway
		80 bring back position Mole
		90.5 nudge earlier 2.0
	`))
	if err != nil {
		t.Fatal(err)
	}
	r, err := New(l, Options{Log: filepath.Join(dir, "log.jsonl"), Script: steps,
		Out: sink.Place{Where: "wav:" + filepath.Join(dir, "run.wav"), Speed: "1"}, Bangs: Bangs{Side: "both", Level: -12}})
	if err != nil {
		t.Fatal(err)
	}
	log := replayed(t, r, r.Deck.Run(context.Background()))
	if err := l.Music.Seek(0); err != nil {
		t.Fatal(err)
	}
	want := readAll(t, l.Music)
	bangs := layBangs(want, log, l.Music.Rate())
	if bangs < 150 {
		t.Errorf("only %d bangs were laid in", bangs)
	}
	file, err := playback.OpenFile(filepath.Join(dir, "run.wav"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	got := readAll(t, file)
	if len(got) < len(want) {
		t.Fatalf("the file has %d frames, the soundtrack %d", len(got), len(want))
	}
	const step = 1.0 / 32768
	for f := range want {
		for ch := range 2 {
			w := max(-1, min(1-step, want[f][ch]))
			if d := math.Abs(got[f][ch] - w); d > step {
				t.Fatalf("frame %d, channel %d: %.6f in the file, %.6f wanted", f, ch, got[f][ch], w)
			}
		}
	}
	t.Logf("%d frames, %d bangs: every one at its frame, worst difference one 16-bit step", len(want), bangs)
	if _, err := os.Stat(filepath.Join(dir, "run.wav")); err != nil {
		t.Error(err)
	}
}

// layBangs adds the bang of each fired cue to frames at its effect.
func layBangs(frames [][2]float64, log *session.Log, rate int) (n int) {
	effect := map[int]int64{}
	for _, e := range log.Entries {
		switch e.Kind {
		case show.EventFired.String(), show.EventMoved.String():
			effect[*e.Data.Index] = *e.Data.Effect
		case show.EventBroke.String():
			delete(effect, *e.Data.Index)
		}
	}
	gain := math.Pow(10, -12.0/20)
	for index, at := range effect {
		family := show.FamilyOf(log.Header.Cues[index].Effect)
		for i, v := range synth.Bang(bangKinds[family], rate) {
			if f := int(at) + i; f < len(frames) {
				frames[f][0] += gain * v
				frames[f][1] += gain * v
			}
		}
	}
	return len(effect)
}
