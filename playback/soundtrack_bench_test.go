package playback

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"drylane/show/timebase"
)

const benchRate, benchMinutes = 44100, 30

// BenchmarkSoundtrack works on half an hour of music in every format: open it;
// go to a random frame and read 10 ms; build the overview; hash the music.
// x-realtime is how many seconds of music are done in one.
func BenchmarkSoundtrack(b *testing.B) {
	dir := b.TempDir()
	for _, ext := range []string{"wav", "flac", "ogg", "mp3"} {
		b.Run(ext, func(b *testing.B) {
			path := benchFile(b, dir, ext)
			b.Run("open", func(b *testing.B) { benchOpen(b, path) })
			b.Run("seek", func(b *testing.B) { benchSeek(b, path) })
			b.Run("overview", func(b *testing.B) { benchOverview(b, path) })
			b.Run("hash", func(b *testing.B) { benchHash(b, path) })
		})
	}
}

// benchFile makes the file of the given format in dir.
func benchFile(b *testing.B, dir, ext string) string {
	b.Helper()
	wav, out := filepath.Join(dir, "music.wav"), filepath.Join(dir, "music."+ext)
	if _, err := os.Stat(wav); err != nil {
		f, err := os.Create(wav)
		if err != nil {
			b.Fatal(err)
		}
		defer f.Close()
		w, err := NewWAVWriter(f, benchRate, 2, WAVInt16)
		if err != nil {
			b.Fatal(err)
		}
		minute := music(60 * benchRate)
		for range benchMinutes {
			if err := w.Write(minute); err != nil {
				b.Fatal(err)
			}
		}
		if err := w.Close(); err != nil {
			b.Fatal(err)
		}
	}
	switch ext {
	case "flac":
		run(b, "flac", "-s", "--no-seektable", "-f", "-o", out, wav)
	case "ogg":
		run(b, "oggenc", "-Q", "-q5", "-o", out, wav)
	case "mp3":
		run(b, "lame", "--quiet", "-b", "192", wav, out)
	}
	return out
}

func benchOpen(b *testing.B, path string) {
	b.ReportAllocs()
	for b.Loop() {
		s, err := OpenFile(path)
		if err != nil {
			b.Fatal(err)
		}
		s.Close()
	}
}

func benchSeek(b *testing.B, path string) {
	s := mustOpen(b, path)
	rnd := rand.New(rand.NewPCG(1, 2))
	buf := make([][2]float64, benchRate/100)
	for b.Loop() {
		if err := s.Seek(rnd.IntN(s.Len())); err != nil {
			b.Fatal(err)
		}
		s.Stream(buf)
	}
}

func benchOverview(b *testing.B, path string) {
	s := mustOpen(b, path)
	b.ReportAllocs()
	for b.Loop() {
		o := NewOverview(s.Rate(), timebase.Frame(s.Len()))
		if err := o.Build(b.Context(), s); err != nil {
			b.Fatal(err)
		}
	}
	reportRealTime(b, s)
}

func benchHash(b *testing.B, path string) {
	s := mustOpen(b, path)
	for b.Loop() {
		if _, err := HashAudio(b.Context(), s, nil); err != nil {
			b.Fatal(err)
		}
	}
	reportRealTime(b, s)
}

func reportRealTime(b *testing.B, s *Soundtrack) {
	seconds := float64(s.Len()) / float64(s.Rate()) * float64(b.N)
	b.ReportMetric(seconds/b.Elapsed().Seconds(), "x-realtime")
}

// BenchmarkColumn draws a screen of 200 columns that shows all of half an hour.
func BenchmarkColumn(b *testing.B) {
	o := NewOverview(benchRate, benchMinutes*60*benchRate)
	block := music(1 << 16)
	for o.Built() < o.Len() {
		o.Add(block)
	}
	for b.Loop() {
		for i := range timebase.Frame(200) {
			o.Column(i*o.Len()/200, (i+1)*o.Len()/200)
		}
	}
}

// BenchmarkWAVWriter writes a second of 16-bit stereo.
func BenchmarkWAVWriter(b *testing.B) {
	f, err := os.CreateTemp(b.TempDir(), "")
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	frames := music(48000)
	for b.Loop() {
		f.Seek(0, 0)
		w, err := NewWAVWriter(f, 48000, 2, WAVInt16)
		if err != nil {
			b.Fatal(err)
		}
		if err := w.Write(frames); err != nil {
			b.Fatal(err)
		}
		if err := w.Close(); err != nil {
			b.Fatal(err)
		}
	}
}
