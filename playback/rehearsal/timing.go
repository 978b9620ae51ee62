package rehearsal

import "time"

// timing returns the guard and the longest device buffer that goes with it.
// What is committed must lie ahead of what the device holds, so a guard too
// short for the sound system is made longer.
func timing(guard, latency time.Duration) (time.Duration, time.Duration) {
	const least, most, ahead = 40 * time.Millisecond, 400 * time.Millisecond, 20 * time.Millisecond
	buffer := min(most, max(least, guard*2/3))
	return max(guard, buffer+max(0, latency)+ahead), buffer
}
