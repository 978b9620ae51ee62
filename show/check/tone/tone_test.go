package tone

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os/exec"
	"testing"
	"time"

	"drylane/testdata/reftest"
)

const rate = 44100

// sine adds a tone of amplitude a from one moment to another.
func sine(s []float64, hz, a float64, from, to time.Duration) {
	for i := int(from.Seconds() * rate); i < min(len(s), int(to.Seconds()*rate)); i++ {
		s[i] += a * math.Sin(2*math.Pi*hz*float64(i)/rate)
	}
}

func noise(s []float64, a float64) {
	r := rand.New(rand.NewPCG(1, 2))
	for i := range s {
		s[i] += a * (2*r.Float64() - 1)
	}
}

const ms = time.Millisecond

func TestFind(t *testing.T) {
	for _, c := range []struct {
		name  string
		make  func(s []float64)
		hz    float64 // 0: none is there
		at    time.Duration
		slack time.Duration
	}{
		{"alone", func(s []float64) { sine(s, 1000, 0.1, 500*ms, 1000*ms) }, 1000, 500 * ms, 10 * ms},
		{"to the end", func(s []float64) { sine(s, 1000, 0.1, 600*ms, 2*time.Second) }, 1000, 600 * ms, 10 * ms},
		{"another pitch", func(s []float64) { sine(s, 440, 0.3, 300*ms, 700*ms) }, 440, 300 * ms, 10 * ms},
		{"faint", func(s []float64) { sine(s, 1000, 0.001, 500*ms, 900*ms) }, 1000, 500 * ms, 10 * ms},
		{"in noise", func(s []float64) { noise(s, 0.05); sine(s, 1000, 0.1, 500*ms, 1000*ms) }, 1000, 500 * ms, 15 * ms},
		{"over a drone", func(s []float64) {
			sine(s, 220, 0.05, 0, 2*time.Second)
			sine(s, 330, 0.04, 0, 2*time.Second)
			sine(s, 1000, 0.2, 500*ms, 1000*ms)
		}, 1000, 500 * ms, 15 * ms},
		{"silence", func(s []float64) {}, 0, 0, 0},
		{"noise", func(s []float64) { noise(s, 0.5) }, 0, 0, 0},
		{"a drone", func(s []float64) { sine(s, 440, 0.3, 0, 2*time.Second) }, 0, 0, 0},
		{"a click", func(s []float64) { s[rate] = 1 }, 0, 0, 0},
		{"a short blip", func(s []float64) { sine(s, 1000, 0.5, 500*ms, 560*ms) }, 0, 0, 0},
		{"a chord", func(s []float64) {
			for _, hz := range []float64{262, 330, 392, 523, 659, 784} {
				sine(s, hz, 0.1, 500*ms, 1500*ms)
			}
		}, 0, 0, 0},
		{"no numbers", func(s []float64) { s[1000] = math.NaN(); s[2000] = math.Inf(1) }, 0, 0, 0},
	} {
		s := make([]float64, 2*rate)
		c.make(s)
		got := Find(s, rate)
		switch {
		case c.hz == 0 && got != nil:
			t.Errorf("%s: found %+v, want none", c.name, *got)
		case c.hz != 0 && got == nil:
			t.Errorf("%s: found none", c.name)
		case c.hz != 0 && (math.Abs(got.Hz-c.hz) > 2 || (got.At-c.at).Abs() > c.slack):
			t.Errorf("%s: found %.1f Hz at %s, want %.1f Hz at %s", c.name, got.Hz, got.At, c.hz, c.at)
		}
	}
}

func TestFindTakesAnything(t *testing.T) {
	for _, r := range []int{-1, 0, 1, 10, 22050, 96000, 1 << 30} {
		for _, n := range []int{0, 1, 100, 5000} {
			if got := Find(make([]float64, n), r); got != nil {
				t.Errorf("%d zeros at %d Hz: found %+v", n, r, *got)
			}
		}
	}
}

// TestAgainstSox has SoX make the tone and the noise that it lies in.
func TestAgainstSox(t *testing.T) {
	sox := reftest.Tool(t, "sox")
	for _, hz := range []string{"880", "1000", "2500"} {
		raw, err := exec.Command("sh", "-c", `"$0" -R -m "|$0 -R -n -r 48000 -c 1 -p synth 1.5 pinknoise vol 0.05" "|$0 -R -n -r 48000 -c 1 -p synth 0.5 sine $1 vol 0.2 pad 0.4" -t raw -e float -b 32 -`, sox, hz).Output()
		if err != nil {
			t.Fatal(err)
		}
		s := make([]float64, len(raw)/4)
		for i := range s {
			s[i] = float64(math.Float32frombits(binary.LittleEndian.Uint32(raw[4*i:])))
		}
		want := map[string]float64{"880": 880, "1000": 1000, "2500": 2500}[hz]
		got := Find(s, 48000)
		if got == nil || math.Abs(got.Hz-want) > 2 || (got.At-400*ms).Abs() > 15*ms {
			t.Errorf("%s Hz at 0.4 s in pink noise: found %+v", hz, got)
		}
	}
}
