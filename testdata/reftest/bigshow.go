package reftest

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// BigShow makes a show of 10,000 cues on a 30-minute MP3, and returns its folder.
func BigShow(tb testing.TB) string {
	tb.Helper()
	dir := tb.TempDir()
	ffmpeg := Tool(tb, "ffmpeg")
	make := exec.Command(ffmpeg, "-loglevel", "error", "-f", "lavfi", "-i", "anoisesrc=d=1800:c=pink:r=44100:a=0.3",
		"-ac", "2", "-b:a", "192k", filepath.Join(dir, "half-hour.mp3"))
	if out, err := make.CombinedOutput(); err != nil {
		tb.Fatalf("%v: %s", err, out)
	}
	var cues strings.Builder
	cues.WriteString("cue,effect_at,prefire,position,module,pin,effect,caliber_mm,burn\n")
	for i := range 10_000 {
		fmt.Fprintf(&cues, "%d,%.3f,%.3f,Position %d,M%d,%d,red peony shell,75,2\n", i+1, 10+float64(i)*0.175, float64(i%4), i%6+1, i%6*100+i/600+1, i/6%100+1)
	}
	for name, text := range map[string]string{
		"cues.csv":  cues.String(),
		"show.toml": "title = \"Half an hour\"\ncues = \"cues.csv\"\nsoundtrack.file = \"half-hour.mp3\"\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			tb.Fatal(err)
		}
	}
	return dir
}
