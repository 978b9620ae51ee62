package follow

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/playback/ltc"
	"drylane/show/timebase"
)

// code is n frames of timecode from a label on, at a rate, as sound of -12 dBFS.
func code(t testing.TB, rate timebase.Rate, label string, n int64, sampleRate int) []float64 {
	t.Helper()
	return codeOf(t, ltc.Config{Rate: rate, SampleRate: sampleRate, Start: labelOf(t, label), Level: -12, Length: int(rate.Sample(n, sampleRate))})
}

func codeOf(t testing.TB, c ltc.Config) []float64 {
	t.Helper()
	e, err := ltc.NewEncoder(c)
	if err != nil {
		t.Fatal(err)
	}
	out, buf := make([]float64, 0, c.Length), make([][2]float64, 1000)
	for {
		n, ok := e.Stream(buf)
		if !ok {
			return out
		}
		for _, x := range buf[:n] {
			out = append(out, x[0])
		}
	}
}

func labelOf(t testing.TB, s string) timebase.Timecode {
	t.Helper()
	l, err := timebase.ParseTimecode(s)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// A change is a step of a follower's life.
type change struct {
	state  State
	why    Why
	sample int // at which it was seen, to a block of 1 ms
	now    Now
}

func (c change) String() string { return strings.TrimSpace(fmt.Sprintf("%s %d", c.state, c.why)) }

// follow reads samples and returns how the following went.
func followed(t testing.TB, cfg Config, samples []float64) []change {
	t.Helper()
	r, err := NewLTC(cfg)
	if err != nil {
		t.Fatal(err)
	}
	var list []change
	last := Now{}
	place := time.Duration(math.MinInt64)
	for at := 0; at < len(samples); {
		n := min(cfg.SampleRate/1000, len(samples)-at)
		r.Write(samples[at : at+n])
		at += n
		now := r.At(r.Sample())
		if now.State != last.State || now.Why != last.Why || now.Loss.N != last.Loss.N || now.Locks != last.Locks {
			list = append(list, change{now.State, now.Why, at, now})
		}
		if now.Following() && now.Locks == last.Locks && now.Place < place {
			t.Fatalf("at sample %d the place goes back from %v to %v", at, place, now.Place)
		}
		last, place = now, now.Place
	}
	return append(list, change{last.State, last.Why, len(samples), last})
}

func words(list []change) string {
	var out []string
	for _, c := range list[:len(list)-1] {
		w := c.state.String()
		switch {
		case c.why != NoReason:
			w += fmt.Sprintf(" (%s)", [...]string{"", "stopped", "jumped", "backwards", "wrong rate", "rate unknown"}[c.why])
		case c.now.Again:
			w += " again"
		}
		out = append(out, w)
	}
	return strings.Join(out, ", ")
}

func silence(n int) []float64 { return make([]float64, n) }

func reversed(s []float64) []float64 {
	s = slices.Clone(s)
	slices.Reverse(s)
	return s
}

// fast is code that runs at a speed when it is read at sampleRate samples a second:
// it was made for others.
func fast(t testing.TB, rate timebase.Rate, label string, n int64, sampleRate int, speed float64) []float64 {
	t.Helper()
	return code(t, rate, label, n, int(math.Round(float64(sampleRate)/speed)))
}

// noisy is samples with hiss and hum, in dBFS.
func noisy(s []float64, rate int, hiss, hum float64) []float64 {
	r := rand.New(rand.NewPCG(1, 2))
	out := make([]float64, len(s))
	for i, x := range s {
		out[i] = x + math.Pow(10, hiss/20)*r.NormFloat64() + math.Pow(10, hum/20)*math.Sqrt2*math.Sin(2*math.Pi*50*float64(i)/float64(rate))
	}
	return out
}

func scaled(s []float64, db float64) []float64 {
	out := make([]float64, len(s))
	for i, x := range s {
		out[i] = x * math.Pow(10, db/20)
	}
	return out
}
