package crew

import "time"

// Floods find machines that send, or ask for, far more than any member can.
type floods struct {
	since time.Duration
	n     map[string]int
}

// count counts a message of a machine, and returns how many there were in this second.
func (f *floods) count(id string, at time.Duration) int {
	if f.n == nil || at-f.since > time.Second {
		f.n, f.since = map[string]int{}, at
	}
	f.n[id]++
	return f.n[id]
}
