package tracks

import (
	"testing"

	"drylane/playback"
	"drylane/playback/ltc"
	"drylane/show/timebase"
)

// Timecode is found whole wherever in a frame the music ends or the side begins:
// close to either end of one, a reader may take it or leave it.
func TestCodeCutWithinAFrame(t *testing.T) {
	const frames, bits = 6, 3 // bits to try at either end of a frame
	for _, fps := range timebase.Rates {
		for _, sampleRate := range []int{16000, 44100, 48000} {
			c := ltc.Config{Rate: fps, SampleRate: sampleRate, Start: fps.Timecode(100_000), Length: sampleRate, Level: -12}
			whole := fps.Sample(frames, sampleRate)
			frame := whole / frames
			for by := range frame {
				if at := by * 80 / frame; at >= bits && at < 80-bits {
					continue
				}
				checkCode(t, c, whole-by, 0)
				checkCode(t, c, whole, -by)
			}
		}
	}
}

// checkCode has the listener for timecode hear what is to be written.
func checkCode(t *testing.T, c ltc.Config, length, offset int64) {
	t.Helper()
	source := must(NewTimecode(c))
	f := &File{Rate: c.SampleRate, Length: length, Encoding: playback.WAVInt16}
	side := &Side{Source: source, Gain: 1, Offset: offset}
	samples := make([]float64, length)
	if err := side.fill(samples, 0); err != nil {
		t.Fatal(err)
	}
	ear := source.listener(f, side)
	if err := ear.hear(samples, 0); err != nil {
		t.Fatal(err)
	}
	if _, err := ear.verdict(); err != nil {
		t.Errorf("%s at %d Hz, %d samples, %d later: %v", c.Rate, c.SampleRate, length, offset, err)
	}
}
