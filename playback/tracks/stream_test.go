package tracks

import (
	"math/rand/v2"
	"testing"

	"drylane/playback"

	"github.com/faiface/beep"
)

// The stream of a file is the file as it was written and decoded, to one step of
// its encoding, wherever reading begins.
func TestStreamIsTheFile(t *testing.T) {
	m := masterOf(t, noise(t))
	again := masterOf(t, noise(t))
	sides := func(m *Master) [2]Side {
		loud := Side{must(m.Music([2]float64{1, 0}, 700)), 3, 700} // clipped
		return [2]Side{loud, {pips(0.2, 10), 1, -50}}
	}
	for _, sides := range [][2][2]Side{
		{sides(m), sides(again)},
		{{{code(-12), 1, -100}, {tone(997, -20), 0.5, 31}}, {{code(-12), 1, -100}, {tone(997, -20), 0.5, 31}}},
	} {
		f := &File{rate, length, playback.WAVInt24, sides[0]}
		path, _ := write(t, f)
		file, err := playback.OpenFile(path)
		if err != nil {
			t.Fatal(err)
		}
		defer file.Close()
		s := NewStream(&File{rate, length, playback.WAVInt24, sides[1]})
		if s.Len() != file.Len() {
			t.Fatalf("%d frames, the file has %d", s.Len(), file.Len())
		}
		rng := rand.New(rand.NewPCG(1, 1))
		a, b := make([][2]float64, 5000), make([][2]float64, 5000)
		for k := range 60 {
			if k%3 == 0 {
				at := rng.IntN(length + 1)
				if s.Seek(at) != nil || file.Seek(at) != nil {
					t.Fatalf("cannot go to frame %d", at)
				}
			}
			at, want := s.Position(), 1+rng.IntN(len(a))
			n, ok := s.Stream(a[:want])
			got := readAll(file, b[:want])
			if n != got || ok != (got > 0) || s.Position() != at+n {
				t.Fatalf("%d frames of %d from %d (%v), the file has %d", n, want, at, ok, got)
			}
			for i := range a[:n] {
				for c := range 2 {
					if d := a[i][c] - b[i][c]; d > f.step() || d < -f.step() {
						t.Fatalf("frame %d: %v, the file has %v", at+i, a[i], b[i])
					}
				}
			}
		}
		if s.Seek(-1) == nil || s.Seek(length+1) == nil {
			t.Error("went outside the file")
		}
	}
}

// readAll reads as much of dst as there is.
func readAll(s beep.StreamSeeker, dst [][2]float64) (n int) {
	for n < len(dst) {
		k, ok := s.Stream(dst[n:])
		if !ok {
			break
		}
		n += k
	}
	return n
}
