package align

// shortest is the least sound, in seconds, that can be compared.
const shortest = 4

// A track is looked at in up to probes windows to see whether it has anything
// to go by; leastTelling of them must.
const (
	probes       = 100
	leastTelling = 3
)

// quiet tells which of two tracks has nothing to go by: "a", "b", "both" or "".
func quiet(a, b *track) string {
	ta, tb := a.telling(), b.telling()
	switch {
	case !ta && !tb:
		return "both"
	case !ta:
		return "a"
	case !tb:
		return "b"
	}
	return ""
}

// telling reports whether a track is long enough, loud enough and, unlike a
// tone, broad enough for its windows to have a place in time.
func (t *track) telling() bool {
	const size = 4096
	if t.level < silenceLevel || t.seconds() < shortest {
		return false
	}
	p := newPhat(size, 0)
	window, x := hann(size), make([]float64, size)
	binHz := t.hz() / size
	lo, hi := int(bandLow/binHz)+1, int(min(bandHigh, bandTop*t.hz())/binHz)
	n := min(probes, len(t.mid)/size)
	found := 0
	for k := range n {
		first := k * (len(t.mid) - size) / max(1, n-1)
		sum := 0.0
		for i := range x {
			v := float64(t.mid[first+i])
			sum += v * v
			x[i] = v * window[i]
		}
		if sum < size*soundFloor*soundFloor*t.level*t.level {
			continue
		}
		p.transform(p.f1, x)
		if float64(width(p.f1[lo:hi]))*binHz >= leastWidth {
			found++
		}
	}
	return found >= leastTelling
}
