package rehearsal

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"drylane/playback/folder"
	"drylane/playback/sink"
	"drylane/playback/wavtest"
	"drylane/show"
	"drylane/testdata/reftest"
)

// BenchmarkOpenToArmed is all that happens from the command to a show that can
// be armed: 30 minutes of MP3 opened and hashed, 10,000 cues read and checked.
func BenchmarkOpenToArmed(b *testing.B) {
	dir := reftest.BigShow(b)
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
	wavtest.Write(tb, filepath.Join(dir, "music.wav"), rate, 1, make([][2]float64, 120*rate))
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
	dir := reftest.BigShow(b)
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
