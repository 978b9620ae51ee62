package drift

import "testing"

// TestOneTap: one of a thing is written as one.
func TestOneTap(t *testing.T) {
	t.Parallel()
	if got, want := between(Estimate{N: 1}), "1 tap, between on the music and on the music"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got, want := between(Estimate{N: 2}), "2 taps, between on the music and on the music"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
