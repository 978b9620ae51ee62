package codefile

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"drylane/playback/disk"
	"drylane/playback/ltc"
	"drylane/show/timebase"
)

func tell(string, float64) {}

// TestWrite: what was written is read back from the file by its name, frame for
// frame: two seconds of drop frame across the minute that leaves out two labels.
func TestWrite(t *testing.T) {
	path := filepath.Join(t.TempDir(), "code.wav")
	to, err := new(disk.Writer).Take("out", path)
	if err != nil {
		t.Fatal(err)
	}
	c := ltc.Config{Rate: timebase.FPS2997Drop, SampleRate: 48000, Level: -18, Length: 96096,
		Start: timebase.Timecode{S: 59, F: 0, Drop: true}}
	wrote, err := Write(t.Context(), to, c, tell)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Read(t.Context(), path, "left", func(float64) {})
	if err != nil || r.Rate != c.Rate || r.First.Timecode != c.Start || r.Frames != wrote.Frames || r.FaultCount != 0 {
		t.Errorf("%v, %s at %s, %d frames, %d faults; wanted %s at %s, %d frames", err, r.First.Timecode, r.Rate, r.Frames, r.FaultCount, c.Start, c.Rate, wrote.Frames)
	}
	if got := r.Last.Timecode.String(); got != "00:01:01;01" { // 60 frames on, less ;00 and ;01 of the minute (ST 12-1, 5.2.2)
		t.Errorf("the last frame is %s", got)
	}
}

// TestStopped: a file that was not finished is not there.
func TestStopped(t *testing.T) {
	dir := t.TempDir()
	to, err := new(disk.Writer).Take("out", filepath.Join(dir, "code.wav"))
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if _, err := Write(ctx, to, ltc.Config{Rate: timebase.FPS25, SampleRate: 48000, Level: -18, Length: 48000}, tell); err == nil || !strings.HasPrefix(err.Error(), "stopped: ") {
		t.Errorf("got %v", err)
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}
