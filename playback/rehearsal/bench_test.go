package rehearsal

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/folder"
	"drylane/playback/sink"
	"drylane/show"
	"drylane/testdata/reftest"
)

// bigFolder makes a show of 10,000 cues on a 30-minute MP3.
func bigFolder(tb testing.TB) string {
	tb.Helper()
	dir := tb.TempDir()
	ffmpeg := reftest.Tool(tb, "ffmpeg")
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

// BenchmarkOpenToArmed is all that happens from the command to a show that can
// be armed: 30 minutes of MP3 opened and hashed, 10,000 cues read and checked.
func BenchmarkOpenToArmed(b *testing.B) {
	dir := bigFolder(b)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		l, err := folder.Open(dir)
		if err != nil {
			b.Fatal(err)
		}
		r, err := New(l, Options{Log: filepath.Join(b.TempDir(), fmt.Sprint(i)), Out: sink.Place{Where: "silent", Speed: "1"}})
		if err != nil {
			b.Fatal(err)
		}
		b.StopTimer()
		r.Deck.Quit()
		r.Deck.Run(b.Context())
		r.Log.Close()
		l.Close()
		b.StartTimer()
	}
}

// manyFolder makes a show of n cues, each at a position and on a module of its own.
func manyFolder(tb testing.TB, n int) string {
	tb.Helper()
	const rate = 22050
	dir := tb.TempDir()
	f, err := os.Create(filepath.Join(dir, "music.wav"))
	if err != nil {
		tb.Fatal(err)
	}
	defer f.Close()
	w, err := playback.NewWAVWriter(f, rate, 1, playback.WAVInt16)
	if err != nil {
		tb.Fatal(err)
	}
	if err := errors.Join(w.Write(make([][2]float64, 120*rate)), w.Close()); err != nil {
		tb.Fatal(err)
	}
	var cues strings.Builder
	cues.WriteString("cue,effect_at,position,module,pin\n")
	for i := range n {
		fmt.Fprintf(&cues, "%d,%.3f,Position %d,M%d,1\n", i+1, 1+100*float64(i)/float64(n), i+1, i+1)
	}
	for name, text := range map[string]string{
		"cues.csv":  cues.String(),
		"show.toml": "title = \"Many\"\ncues = \"cues.csv\"\nsoundtrack.file = \"music.wav\"\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			tb.Fatal(err)
		}
	}
	return dir
}

// BenchmarkManyPositions is all that happens from the command to an armed show, for
// shows in which every cue has a position and a module of its own.
func BenchmarkManyPositions(b *testing.B) {
	for _, n := range []int{100, 1000, 10_000} {
		dir := manyFolder(b, n)
		b.Run(fmt.Sprint(n, " positions"), func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				l, err := folder.Open(dir)
				if err != nil {
					b.Fatal(err)
				}
				r, err := New(l, Options{Log: filepath.Join(b.TempDir(), fmt.Sprint(n, i)), Out: sink.Place{Where: "silent", Speed: "1"}})
				if err != nil {
					b.Fatal(err)
				}
				stop := r.Go(b.Context())
				r.Deck.Command(show.Command{Action: show.Arm}, time.Now())
				for r.Deck.Snapshot().Transport.State() != show.Armed {
					time.Sleep(time.Millisecond)
				}
				b.StopTimer()
				stop()
				r.Log.Close()
				l.Close()
				b.StartTimer()
			}
		})
	}
}

// BenchmarkResident plays half an hour as fast as it can with the waveform
// being made beside it, and reports the most memory the process has held.
func BenchmarkResident(b *testing.B) {
	dir := bigFolder(b)
	for i := 0; b.Loop(); i++ {
		l, err := folder.Open(dir)
		if err != nil {
			b.Fatal(err)
		}
		r, err := New(l, Options{Log: filepath.Join(b.TempDir(), fmt.Sprint(i)), Out: sink.Place{Where: "silent", Speed: "20"}})
		if err != nil {
			b.Fatal(err)
		}
		go NewOverview(l).Build(b.Context())
		go func() { time.Sleep(20 * time.Second); r.Deck.Quit() }()
		r.Deck.Run(b.Context())
		r.Log.Close()
		l.Close()
	}
	b.ReportMetric(residentPeak(b), "MiB-peak")
}

// residentPeak is the process's high-water mark, from Linux's /proc.
func residentPeak(tb testing.TB) float64 {
	text, err := os.ReadFile("/proc/self/status")
	if err != nil {
		tb.Skip("no /proc here")
	}
	for line := range strings.Lines(string(text)) {
		var kb float64
		if n, _ := fmt.Sscanf(line, "VmHWM: %f kB", &kb); n == 1 {
			return kb / 1024
		}
	}
	tb.Fatal("no VmHWM")
	return 0
}
