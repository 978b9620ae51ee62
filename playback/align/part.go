package align

// exchange makes of how B lies against A how A lies against B.
func (r *Result) exchange() {
	r.Quiet = map[string]string{"a": "b", "b": "a"}[r.Quiet] + map[string]string{"both": "both"}[r.Quiet]
	if r.Verdict != Same && r.Verdict != Partly {
		return
	}
	ratio := 1 + r.RatePPM*1e-6
	at := func(ms float64) float64 { return r.OffsetMs + ratio*ms }
	r.FromMs, r.ToMs = at(r.FromMs), at(r.ToMs)
	r.AlternativeMs = 0 - r.AlternativeMs/ratio // not -0
	r.OffsetMs = 0 - r.OffsetMs/ratio
	r.RatePPM = 1e6 * (1/ratio - 1)
	r.GainDB = 0 - r.GainDB
	r.AMissing, r.BMissing = r.BMissing, r.AMissing
	r.Cause = CauseOf(r.RatePPM, r.RateErrorPPM)
}

const (
	// partSlack, in seconds, is less than what anybody would call a part, and more
	// than what a lossy file may lack at its ends.
	partSlack = 0.25
	// soundBlock, in seconds, is how finely the first and last sound are found.
	soundBlock = 0.05
)

// measureLack tells how much of the music of a lies where b has none.
func (r *Result) measureLack(a, b *track) {
	if r.Verdict != Same && r.Verdict != Partly {
		return
	}
	l := line{start: r.OffsetMs / 1000, ratio: 1 + r.RatePPM*1e-6}
	fromA, toA := a.sounding()
	fromB, toB := b.sounding()
	if lack := (fromB-l.start)/l.ratio - fromA; lack > partSlack {
		r.LacksStartMs = 1000 * lack
	}
	if lack := toA - (toB-l.start)/l.ratio; lack > partSlack {
		r.LacksEndMs = 1000 * lack
	}
}

// sounding returns where the first block of sound begins and the last one ends, in
// seconds; the whole of a track without any.
func (t *track) sounding() (from, to float64) {
	n := max(1, int(soundBlock*t.hz()))
	first, last := -1, -1
	for at := 0; at < len(t.mid); at += n {
		sum := 0.0
		block := t.mid[at:min(at+n, len(t.mid))]
		for _, v := range block {
			sum += float64(v) * float64(v)
		}
		if sum > float64(len(block))*soundFloor*soundFloor*t.level*t.level {
			if first < 0 {
				first = at
			}
			last = at + len(block)
		}
	}
	if first < 0 {
		return 0, t.seconds()
	}
	return float64(first) / t.hz(), float64(last) / t.hz()
}
