package crew

import "time"

// Floods find machines that send far more than any member can.
type floods struct {
	since time.Duration
	n     map[string]int
}

// count counts a message of a machine, and reports whether it is one too many in this
// second: once for each.
func (f *floods) count(id string, at time.Duration) bool {
	if f.n == nil || at-f.since > time.Second {
		f.n, f.since = map[string]int{}, at
	}
	f.n[id]++
	return f.n[id] == mostASec
}
