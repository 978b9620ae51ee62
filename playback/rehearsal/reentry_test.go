package rehearsal

import (
	"context"
	"math"
	"path/filepath"
	"testing"

	"drylane/playback"
	"drylane/playback/folder"
	"drylane/playback/ltc"
	"drylane/playback/sink"
	"drylane/show"
	"drylane/show/timebase"
)

// TestReentryTogether cuts a show twice and starts it again, at a later and at an earlier
// place, each with a run-up. Its music goes into one file and its companion, other noise
// and timecode, into another: both have the same frames of the music at the same places,
// to the frame, and the timecode names them.
func TestReentryTogether(t *testing.T) {
	const rate, seconds = 48000, 18
	dir := t.TempDir()
	noise := writeBesideShow(t, dir, rate, seconds)
	front, rear := filepath.Join(dir, "front.wav"), filepath.Join(dir, "rear.wav")
	where := playReentries(t, dir, front, rear, `
		+0 arm
		+0 start
		7.123 cut
		+1 re-enter 12.345 run-up 3.5
		+1 start
		16 hold
		+1 resume anyway
		17.001 cut
		+2 re-enter 0:02.517 run-up 1.25
		+1 start
		`, rate, seconds)
	for i, path := range []string{front, rear} {
		file, err := playback.OpenFile(path)
		if err != nil {
			t.Fatal(err)
		}
		got := readAll(t, file)
		file.Close()
		if len(got) < len(where) {
			t.Fatalf("%s has %d frames, want %d", path, len(got), len(where))
		}
		for k, f := range where {
			if want := float64(noise[i][f]); math.Abs(got[k][0]-want) > 1.0/16384 {
				t.Fatalf("%s, frame %d: %.5f, want the music's frame %d, which is %.5f", path, k, got[k][0], f, want)
			}
		}
		if i == 1 {
			codesNameTheMusic(t, got, where, rate)
		}
	}
}

// playReentries plays the script into two files, and returns which frame of the music
// each of their frames has, by the log.
func playReentries(t *testing.T, dir, front, rear, script string, rate, seconds int) (where []int64) {
	t.Helper()
	l, err := folder.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	steps := steps(t, script)
	r, err := New(l, Options{Log: filepath.Join(dir, "log.jsonl"), Script: steps, Out: sink.Place{Where: "wav:" + front, Speed: "1"},
		Bangs: Bangs{Side: "off"}, Listening: Listening{Beside: "code@wav:" + rear}})
	if err != nil {
		t.Fatal(err)
	}
	log := replayed(t, r, r.Deck.Run(context.Background()))
	from, entries := int64(0), 0
	to := func(end int64) {
		for f := from; f < end; f++ {
			where = append(where, f)
		}
		from = end
	}
	for _, e := range log.Entries {
		switch e.Kind {
		case show.EventCut.String():
			to(e.Heard)
		case show.EventReentered.String():
			from = e.Heard
			entries++
			if want := []float64{12.345 - 3.5, 2.517 - 1.25}[entries-1]; math.Abs(float64(from)-want*float64(rate)) > 0.5 {
				t.Errorf("re-entry %d begins at frame %d, want second %v", entries, from, want)
			}
		}
	}
	to(int64(rate * seconds))
	if entries != 2 {
		t.Fatalf("%d re-entries", entries)
	}
	return where
}

// codesNameTheMusic: each frame of timecode on the right of a file is that of the frame
// of the music that lies there.
func codesNameTheMusic(t *testing.T, frames [][2]float64, where []int64, rate int) {
	t.Helper()
	var found []ltc.Frame
	dec, err := ltc.NewDecoder(rate, func(f ltc.Frame) { found = append(found, f) })
	if err != nil {
		t.Fatal(err)
	}
	mono := make([]float64, len(frames))
	for i, f := range frames {
		mono[i] = f[1]
	}
	dec.Write(mono)
	dec.Flush()
	good := 0
	for _, f := range found {
		k, err := timebase.FPS25.Index(f.Timecode)
		if err != nil {
			t.Fatal(err)
		}
		i := f.Sample()
		if i < 0 || int(i) >= len(where) {
			continue
		}
		if label := int64(k-25*3600) * int64(rate) / 25; label-where[i] > 2 || where[i]-label > 2 {
			t.Errorf("timecode %v lies on frame %d of the music, and names frame %d", f.Timecode, where[i], label)
			continue
		}
		good++
	}
	if want := len(where) * 25 / rate * 9 / 10; good < want {
		t.Errorf("%d frames of timecode name the music, want %d at least", good, want)
	}
	t.Logf("%d frames of timecode, each on the frame of the music that it names", good)
}
