package battery

import (
	"math"
	"strings"
	"testing"
	"time"

	"drylane/show"

	"pgregory.net/rapid"
)

func TestShareAtTemperature(t *testing.T) {
	for _, c := range []struct {
		chemistry string
		celsius   float64
		want      float64
	}{
		{"lead", 25, 1}, {"lead", 40, 1}, {"lead", 0, 0.85}, {"lead", 12.5, 0.925}, {"lead", -10, 0.725}, {"lead", -50, 0.30},
		{"lithium", -20, 0.60}, {"nickel", -20, 0.50},
	} {
		if got := ShareAt(c.chemistry, c.celsius); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s at %v °C: %.3f, want %.3f", c.chemistry, c.celsius, got, c.want)
		}
	}
}

// Warmth never takes capacity, and no kind is without a curve.
func TestShareNeverFallsWithWarmth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := rapid.SampledFrom(show.Chemistries).Draw(t, "kind")
		at := rapid.Float64Range(-60, 60).Draw(t, "celsius")
		if a, b := ShareAt(kind, at), ShareAt(kind, at+rapid.Float64Range(0, 50).Draw(t, "warmer")); a > b || a <= 0 || b > 1 {
			t.Errorf("%s: %.3f at %.1f °C, %.3f warmer", kind, a, at, b)
		}
	})
}

// By hand: 7 Ah, of which 0.8 are left by age and 0.85 at 0 °C, are 4.76 Ah. Six
// hours at 0.5 A are 3 Ah, one hour armed at 1 A is 1 Ah, and 36 ignitions of 50 ms
// at 20 A are 36 As, 0.01 Ah.
func TestBudget(t *testing.T) {
	s := &show.Show{
		Air: show.Air{TemperatureC: 0},
		Battery: &show.Battery{
			Chemistry: "lead", CapacityAh: 7, Health: 0.8, IdleA: 0.5, ArmedA: 1, FiringA: 20, Pulse: 50 * time.Millisecond,
			OnSite: 6 * time.Hour, LongestHold: 30 * time.Minute,
		},
	}
	for range 36 {
		s.Cues = append(s.Cues, show.Cue{Module: "M2", EffectAt: time.Minute})
	}
	s.Cues = append(s.Cues, show.Cue{Module: "M1", EffectAt: 29 * time.Minute, Burn: time.Minute})
	u, ok := Of(s, 10*time.Minute) // the last effect burns longer than the music plays
	if !ok || math.Abs(u.HasAh-4.76) > 1e-9 || math.Abs(u.NeedsAh-4.01) > 1e-9 || u.Module != "M2" || u.Firings != 36 || u.Short() {
		t.Fatalf("%+v, want 4.76 Ah for 4.01 Ah on M2", u)
	}
	if got := u.Words(); !strings.HasPrefix(got, "0.75 Ah to spare: 4.76 Ah at 0 °C") || !strings.HasSuffix(got, "36 firings on M2)") {
		t.Errorf("words: %s", got)
	}
	s.Air.TemperatureC = -20 // 3.36 Ah
	if u, _ := Of(s, 0); !u.Short() || !strings.HasPrefix(u.Words(), "0.65 Ah SHORT: 3.36 Ah at -20 °C") {
		t.Errorf("in the cold: %s", u.Words())
	}
	s.Battery = nil
	if _, ok := Of(s, 0); ok {
		t.Error("a budget without a battery")
	}
}
