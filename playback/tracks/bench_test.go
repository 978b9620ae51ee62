package tracks

import (
	"io"
	"testing"

	"drylane/playback"
)

// discard is a file that forgets.
type discard struct{ io.Writer }

func (discard) Seek(int64, int) (int64, error) { return 0, nil }

// BenchmarkBuild builds a minute of silence beside a minute of each source, at
// 24 kHz.
func BenchmarkBuild(b *testing.B) {
	const minute = 60 * rate
	for _, c := range []struct {
		name   string
		source Source
	}{{"silence", Silence{}}, {"tone", must(NewTone(997, -20, rate, minute))}, {"timecode", code(-12)}, {"pips", pips(10, 30)}} {
		b.Run(c.name, func(b *testing.B) {
			f := &File{rate, minute, playback.WAVInt16, [2]Side{{c.source, 1, 0}, {Silence{}, 1, 0}}}
			for b.Loop() {
				if _, err := Build(b.Context(), discard{io.Discard}, f, silent); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
