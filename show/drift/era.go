package drift

import "time"

// An Era is the taps between two nudges: the cues did not shift under them. It
// has one tap at least.
type Era[T any] struct {
	Nudge time.Duration // that was asked for; positive = cues earlier
	Taps  []T
}

// Eras splits taps, in the order in which they came, where the nudge changes that
// was asked for when they came.
func Eras[T any](taps []T, nudge func(T) time.Duration) []Era[T] {
	var eras []Era[T]
	from := 0
	for i := range taps {
		if i+1 == len(taps) || nudge(taps[i+1]) != nudge(taps[i]) {
			eras = append(eras, Era[T]{nudge(taps[i]), taps[from : i+1 : i+1]})
			from = i + 1
		}
	}
	return eras
}
