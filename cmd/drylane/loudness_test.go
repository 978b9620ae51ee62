package main

import (
	"bytes"
	"io"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"drylane/testdata/reftest"
)

// An MP3 holds what goes over full scale, and decoding to 16 bits cuts it off:
// every level of such a file is told as a lower bound. The reference is ffmpeg's
// meter on its own decode to floating point.
func TestLoudnessOfMP3OverFullScale(t *testing.T) {
	dir := t.TempDir()
	wav := filepath.Join(dir, "master.wav")
	if out, err := exec.Command(reftest.Tool(t, "sox"), "-n", "-R", "-r", "44100", "-c", "2", "-b", "16", wav,
		"synth", "5", "pluck", "C3", "pluck", "E3", "gain", "-n", "-1").CombinedOutput(); err != nil {
		t.Fatalf("sox: %v: %s", err, out)
	}
	for scale, over := range map[string]bool{"0.5": false, "1.8": true} {
		mp3 := filepath.Join(dir, "scaled.mp3")
		if out, err := exec.Command(reftest.Tool(t, "lame"), "--quiet", "--scale", scale, "-b", "192", wav, mp3).CombinedOutput(); err != nil {
			t.Fatalf("lame: %v: %s", err, out)
		}
		var out bytes.Buffer
		if err := (loudnessCmd{File: mp3}).Run(&env{ctx: t.Context(), out: &out, errOut: io.Discard}); err != nil {
			t.Fatal(err)
		}
		ours := func(label string) (float64, bool) {
			m := regexp.MustCompile(`(?m)^` + label + ` +(at least )?(-?[0-9.]+) `).FindStringSubmatch(out.String())
			if m == nil {
				t.Fatalf("no %s in\n%s", label, out.String())
			}
			v, err := strconv.ParseFloat(m[2], 64)
			if err != nil {
				t.Fatal(err)
			}
			return v, m[1] != ""
		}
		meter := []string{"-nostats", "-i", mp3, "-af", "ebur128=peak=true+sample", "-f", "null", "-"}
		ffmpeg := reftest.Tool(t, "ffmpeg")
		for label, at := range map[string]string{
			"integrated": `I: +(-?[0-9.]+) LUFS`, "true peak": `True peak:\s+Peak: +(-?[0-9.]+) dBFS`, "sample peak": `Sample peak:\s+Peak: +(-?[0-9.]+) dBFS`,
		} {
			got, atLeast := ours(label)
			want := soxReads(t, `(?s)Summary:.*?`+at, ffmpeg, meter...)
			if atLeast != over || over && got > want || !over && (got > want+0.15 || got < want-0.15) {
				t.Errorf("scaled by %s: %s is %.1f, at least: %v; ffmpeg reads %.1f", scale, label, got, atLeast, want)
			}
		}
		for _, label := range []string{"short-term max", "momentary max", "left +RMS", "right +RMS"} {
			if _, atLeast := ours(label); atLeast != over {
				t.Errorf("scaled by %s: %s is told as a lower bound: %v", scale, label, atLeast)
			}
		}
	}
}
