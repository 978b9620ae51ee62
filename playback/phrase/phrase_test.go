package phrase

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"drylane/show/timebase"
)

const rate = 44100

// A bar of a made piece: three notes of a chord, held, with a low drum on the first beat
// and a tick on the others.
type made struct {
	beat  int // frames of a beat
	meter int
	sound [][2]float64
}

// bar adds a bar of a chord. bright sets the share of overtones.
func (m *made) bar(root float64, minor, bright bool) {
	third := 1.26
	if minor {
		third = 1.189
	}
	n := m.beat * m.meter
	start := len(m.sound)
	m.sound = append(m.sound, make([][2]float64, n)...)
	out := m.sound[start:]
	for i := range out {
		t := float64(i) / rate
		x := 0.0
		for _, f := range []float64{root, root * third, root * 1.498} {
			x += math.Sin(2 * math.Pi * f * t)
			if bright {
				x += 0.7*math.Sin(4*math.Pi*f*t) + 0.5*math.Sin(8*math.Pi*f*t)
			}
		}
		beat, since := i/m.beat, float64(i%m.beat)/rate
		if beat == 0 {
			x += 3 * math.Sin(2*math.Pi*60*since) * math.Exp(-since*18)
		} else {
			x += 0.6 * math.Sin(2*math.Pi*1500*since) * math.Exp(-since*80)
		}
		x *= 0.1
		out[i] = [2]float64{x, x}
	}
}

// piece is a made piece: sections of so many bars, each with a turn of four chords of its
// own. It returns the first frames of the bars and of the sections.
func piece(meter int, bpm float64, sections ...int) (m *made, changes []timebase.Frame) {
	m = &made{beat: int(60 / bpm * rate), meter: meter}
	turns := [][4]float64{{220, 174.6, 130.8, 196}, {146.8, 110, 233.1, 174.6}, {164.8, 246.9, 185, 138.6}}
	for s, n := range sections {
		changes = append(changes, timebase.Frame(len(m.sound)))
		for b := range n {
			m.bar(turns[s%3][b%4], b%2 == 0, s%2 == 1)
		}
	}
	return m, changes
}

// beats are the frames of the piece's beats.
func (m *made) beats() (list []timebase.Frame) {
	for at := 0; at < len(m.sound); at += m.beat {
		list = append(list, timebase.Frame(at))
	}
	return list
}

// listen takes the piece in chunks of any size.
func (m *made) listen() *Listener {
	l := NewListener(rate)
	rng := rand.New(rand.NewPCG(1, 2))
	for at := 0; at < len(m.sound); {
		n := min(1+rng.IntN(9000), len(m.sound)-at)
		l.Add(m.sound[at : at+n])
		at += n
	}
	return l
}

// The changes of music made here are known exactly.
func TestMadePieces(t *testing.T) {
	for _, c := range []struct {
		name  string
		meter int
		bpm   float64
		parts []int
	}{
		{"four", 4, 120, []int{8, 8, 12, 8}},
		{"three", 3, 140, []int{16, 8, 16}},
		{"slow", 4, 76, []int{8, 8, 8}},
	} {
		t.Run(c.name, func(t *testing.T) {
			m, changes := piece(c.meter, c.bpm, c.parts...)
			var got []timebase.Frame
			for _, x := range m.listen().Changes(m.beats()) {
				got = append(got, x.At)
			}
			if !slices.Equal(got, changes[1:]) {
				t.Errorf("changes at %v, want %v", got, changes[1:])
			}
		})
	}
}

func TestNothingChanges(t *testing.T) {
	m := &made{beat: rate / 2, meter: 4}
	for range 30 {
		m.bar(220, false, false)
	}
	if got := m.listen().Changes(m.beats()); got != nil {
		t.Errorf("changes in one chord: %v", got)
	}
	if got := NewListener(rate).Changes(nil); got != nil {
		t.Errorf("%v of nothing", got)
	}
	l := NewListener(rate)
	l.Add([][2]float64{{math.NaN(), 1}, {math.Inf(1), 0}})
	l.Add(make([][2]float64, 60*rate))
	if got := l.Changes(m.beats()); got != nil {
		t.Errorf("changes in silence: %v", got)
	}
}

func BenchmarkHalfAnHour(b *testing.B) {
	m, _ := piece(4, 120, 8, 8, 8)
	var beats []timebase.Frame
	for at := 0; at < 30*60*rate; at += m.beat {
		beats = append(beats, timebase.Frame(at))
	}
	b.ReportAllocs()
	for b.Loop() {
		l := NewListener(rate)
		for at := 0; at < 30*60*rate; at += len(m.sound) {
			l.Add(m.sound)
		}
		if len(l.Changes(beats)) == 0 {
			b.Fatal("no change was found")
		}
	}
}
