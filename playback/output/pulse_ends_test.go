package output

import "testing"

// TestEndsWithinTheMusic: wherever the server is in the stream, and whatever frame
// a hold is asked for at, what is written anew lies within the music that is there:
// also where the server has yet to come to it.
func TestEndsWithinTheMusic(t *testing.T) {
	for _, rate := range []int{48000, 44100} {
		r, err := newRender(rate, 48000)
		if err != nil {
			t.Fatal(err)
		}
		r.move(2000)
		r.write(make([][2]float64, 4000))
		r.drain()
		p := &pulse{render: r, rate: 48000, opts: Options{Rate: rate}, sent: r.out.end()}
		for read := int64(0); read < p.sent; read += 37 {
			for frame := int64(0); frame <= r.written; frame += 61 {
				from, stop := p.ends(read, frame)
				if from < r.start || stop < from || stop > r.out.end() {
					t.Fatalf("%d Hz, read %d, hold at %d: from %d to %d; the music is at %d to %d", rate, read, frame, from, stop, r.start, r.out.end())
				}
			}
		}
	}
}
