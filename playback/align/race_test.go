//go:build race

package align

// raceEnabled: the race detector makes the arithmetic about ten times slower.
const raceEnabled = true
