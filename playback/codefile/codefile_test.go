package codefile

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"drylane/playback/disk"
	"drylane/playback/ltc"
	"drylane/show/timebase"
	"drylane/testdata/reftest"
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

// TestLibltc: the file that was written is read by libltc, as sox decodes it: every
// label in its place, with the drop frame flag where it belongs. Labels that are
// left out are by ST 12-1, 5.2.2. libltc wants the edge after a frame, so that it
// does not tell the last.
func TestLibltc(t *testing.T) {
	t.Parallel()
	run, sox := reftest.Libltc(t, "../ltc/testdata/reference.c"), reftest.Tool(t, "sox")
	for _, c := range []struct {
		rate              timebase.Rate
		start             timebase.Timecode
		length            int
		drop              string
		first, last       string
		frames, perSecond int
	}{
		{timebase.FPS24, timebase.Timecode{H: 10, M: 59, S: 59}, 96000, "0", "10:59:59:00", "11:00:00:22", 47, 24},
		{timebase.FPS25, timebase.Timecode{H: 1}, 96000, "0", "01:00:00:00", "01:00:01:23", 49, 25},
		{timebase.FPS2997Drop, timebase.Timecode{S: 59, Drop: true}, 96096, "1", "00:00:59:00", "00:01:01:00", 59, 30},
		{timebase.FPS30, timebase.Timecode{H: 23, M: 59, S: 59}, 96000, "0", "23:59:59:00", "00:00:00:28", 59, 30},
	} {
		path := filepath.Join(t.TempDir(), "code.wav")
		to, err := new(disk.Writer).Take("out", path)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := Write(t.Context(), to, ltc.Config{Rate: c.rate, SampleRate: 48000, Level: -18, Length: c.length, Start: c.start}, tell); err != nil {
			t.Fatal(err)
		}
		raw, err := exec.Command(sox, path, "-t", "f32", "-c", "1", "-").Output()
		if err != nil {
			t.Fatal(err)
		}
		var labels []string
		for line := range strings.Lines(string(run(raw, "read", 48000, 48000/c.perSecond))) {
			f := strings.Fields(line)
			if labels = append(labels, f[0]); f[1] != c.drop || f[2] != "0" {
				t.Errorf("%s: %s has drop %s, backwards %s", c.rate, f[0], f[1], f[2])
			}
		}
		if len(labels) != c.frames || labels[0] != c.first || labels[len(labels)-1] != c.last {
			t.Errorf("%s: %d frames from %s to %s; want %d from %s to %s", c.rate, len(labels), labels[0], labels[len(labels)-1], c.frames, c.first, c.last)
		}
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
