// Package crewclock tells how a clock stands to another one far away, from requests
// and replies, and how well that is known. It is the part of RFC 5905 (NTP version 4)
// that one client of one server needs: the offset and delay of an exchange (section
// 8), the clock filter (section 10), and in place of a disciplined clock the rate of
// one that is left alone.
//
// Every figure here has a bound that holds whatever the paths are: a reply cannot
// leave before the request came. Nothing is known of how a round trip is divided, so
// the bound of an offset is never below half of it.
//
// Both clocks are counted from a moment of their own and never set: a clock of the
// wall that somebody sets changes nothing.
package crewclock

import "time"

// A Sample is one request and its reply. Sent and Came are by the own clock, Got and
// Left by the other one: T1, T4, T2 and T3 of RFC 5905.
type Sample struct {
	Sent time.Duration // when the request left here
	Got  time.Duration // ... and came there
	Left time.Duration // when the reply left there
	Came time.Duration // ... and came here
}

// Offset is what has to be added to the own clock: theta of section 8.
func (s Sample) Offset() time.Duration { return ((s.Got - s.Sent) + (s.Left - s.Came)) / 2 }

// Delay is the round trip without the time that the request lay there: delta of
// section 8. It is never below 0, which clocks that run apart can make of it.
func (s Sample) Delay() time.Duration { return max(0, s.trip()) }

func (s Sample) trip() time.Duration { return (s.Came - s.Sent) - (s.Left - s.Got) }

// dispersion is what the offset can be wrong by besides half the delay, when it came:
// epsilon of section 8, for clocks whose rates differ by so many parts in a million.
func (s Sample) dispersion(ppm float64) time.Duration {
	return 2*Precision + growth(s.Came-s.Sent, ppm)
}

// Whole reports whether a sample can be true: no time runs backwards, and nothing
// comes before it was sent.
func (s Sample) Whole() bool {
	const most = 1 << 61 // so that no sum of two overflows
	for _, t := range []time.Duration{s.Sent, s.Got, s.Left, s.Came} {
		if t < 0 || t > most {
			return false
		}
	}
	return s.Came >= s.Sent && s.Left >= s.Got && s.trip() >= -s.dispersion(Tolerance)
}

// Precision is what reading a clock can be wrong by: rho of section 7.3, of both.
const Precision = time.Microsecond

// growth is by how much two clocks can part in time d when their rates differ by
// ppm at most.
func growth(d time.Duration, ppm float64) time.Duration {
	return time.Duration(float64(max(0, d)) * ppm / 1e6)
}
