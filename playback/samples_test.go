package playback

import (
	"encoding/binary"
	"math"
	"os"
	"testing"
)

// triangles is the music of the committed samples: two triangle waves in
// integer steps of the given sample size.
func triangles(n, bits int) [][2]float64 {
	wave := func(i, period int) float64 {
		i %= period
		return float64(min(i, period-i)*1000/period-250) * float64(int(1)<<(bits-11)) / float64(int(1)<<(bits-1))
	}
	f := make([][2]float64, n)
	for i := range f {
		f[i] = [2]float64{wave(i, 101), wave(i, 147)}
	}
	return f
}

// The committed samples come from the reference encoders, so that the decoders
// are tested where those are not installed.
func TestFLACSamples(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		file                 string
		rate, channels, bits int
	}{
		{"testdata/ramp16.flac", 44100, 2, 16},
		{"testdata/ramp24.flac", 24000, 1, 24},
	} {
		s := mustOpen(t, tt.file)
		if i := s.Info(); i.Rate != tt.rate || i.Channels != tt.channels || i.Bits != tt.bits || i.Frames != 3000 {
			t.Errorf("%s: %+v", tt.file, i)
		}
		want := triangles(3000, tt.bits)
		got := readAll(t, s)
		if len(got) != len(want) {
			t.Fatalf("%s: %d frames", tt.file, len(got))
		}
		for i := range got {
			if tt.channels == 1 {
				want[i][0] = (want[i][0] + want[i][1]) / 2
				want[i][0] = math.Round(want[i][0]*(1<<23)) / (1 << 23)
				want[i][1] = want[i][0]
			}
			if got[i] != want[i] {
				t.Fatalf("%s: frame %d is %v, want %v", tt.file, i, got[i], want[i])
			}
		}
		checkSeeks(t, tt.file, got)
	}
}

// tone.raw is what oggdec makes of tone.ogg, in 16 bits.
func TestVorbisSample(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile("testdata/tone.raw")
	if err != nil {
		t.Fatal(err)
	}
	s := mustOpen(t, "testdata/tone.ogg")
	if i := s.Info(); i.Rate != 22050 || i.Channels != 1 || i.Frames != 6000 || i.Title != "Tone" || i.Artist != "Nobody" {
		t.Errorf("%+v", i)
	}
	got := readAll(t, s)
	if len(got) != len(raw)/2 {
		t.Fatalf("%d frames, oggdec has %d", len(got), len(raw)/2)
	}
	for i, f := range got {
		want := float64(int16(binary.LittleEndian.Uint16(raw[2*i:]))) / (1 << 15)
		if math.Abs(f[0]-want) > 1.01/(1<<15) || f[0] != f[1] {
			t.Fatalf("frame %d is %v, oggdec has %v", i, f, want)
		}
	}
	checkSeeks(t, "testdata/tone.ogg", got)
}
