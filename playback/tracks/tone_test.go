package tracks

import (
	"math"
	"math/big"
	"os/exec"
	"regexp"
	"strconv"
	"testing"

	"drylane/playback"
	"drylane/testdata/reftest"
)

// The phase of a tone against exact fractions, a day into it.
func TestToneKeepsItsPhase(t *testing.T) {
	long := must(NewTone(440.125, -18, 44100, 25*3600*44100))
	for _, n := range []int64{0, 1, 44100, 1<<31 + 7, 24*3600*44100 + 12345} {
		phase := new(big.Rat).Mul(big.NewRat(440125, 1000*44100), new(big.Rat).SetInt64(n))
		whole := new(big.Int).Div(phase.Num(), phase.Denom())
		want, _ := phase.Sub(phase, new(big.Rat).SetInt(whole)).Float64()
		if got := long.turn(n); math.Abs(got-want) > 1e-12 {
			t.Errorf("turn %d is %.15f, want %.15f", n, got, want)
		}
	}
	if _, err := NewTone(15000, -18, 24000, 10); err == nil {
		t.Error("a tone above half the rate was taken")
	}
}

// Level and frequency of a tone as sox measures them: a sine has 3.01 dB less
// RMS than peak.
func TestToneAgainstSox(t *testing.T) {
	sox := reftest.Tool(t, "sox")
	f := &File{rate, length, playback.WAVInt24, [2]Side{{tone(1000, -20), 1, 0}, {Silence{}, 1, 0}}}
	path, _ := build(t, f)
	text, err := exec.Command(sox, path, "-n", "remix", "1", "trim", "1", "10", "stats").CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, text)
	}
	for what, want := range map[string]float64{"Pk lev dB": -20, "RMS lev dB": -23.01} {
		m := regexp.MustCompile(what + ` +(-[0-9.]+)`).FindSubmatch(text)
		if m == nil {
			t.Fatalf("no %s in %s", what, text)
		}
		if got := must(strconv.ParseFloat(string(m[1]), 64)); math.Abs(got-want) > 0.011 {
			t.Errorf("%s %.2f, want %.2f", what, got, want)
		}
	}
	text, err = exec.Command(sox, path, "-n", "remix", "1", "stat").CombinedOutput()
	if m := regexp.MustCompile(`Rough +frequency: +(\d+)`).FindSubmatch(text); err != nil || m == nil || math.Abs(must(strconv.ParseFloat(string(m[1]), 64))-1000) > 15 {
		t.Errorf("%v, want about 1000 Hz: %s", err, text)
	}
}
