// Package field works out what distance does to a show: when the music and the
// bangs of each position reach each place that people watch from, how far
// apart they come there, and which one shift of the cues serves the main
// audience best. It also holds two rules of thumb against the cue list: how
// long shells take to their break, and how far people stand from mortars.
//
// Its figures are for planning. None of them is a permission: the authority
// having jurisdiction and the licensed operator in charge decide.
package field

import (
	"math"
	"time"
)

// SpeedOfSound returns the speed of sound in dry air, in m/s, at a temperature
// in degrees Celsius from about -20 to 50: ISO 9613-1:1993, formula A.5.
// Humid air carries sound faster by up to 0.6 %.
func SpeedOfSound(celsius float64) float64 {
	return 343.2 * math.Sqrt((celsius+273.15)/293.15)
}

// Travel returns how long sound takes over a distance, in metres, at a
// temperature in degrees Celsius. Light takes less than 4 µs a kilometre:
// everywhere in this package it arrives at once.
func Travel(metres, celsius float64) time.Duration {
	return time.Duration(math.Round(metres / SpeedOfSound(celsius) * float64(time.Second)))
}
