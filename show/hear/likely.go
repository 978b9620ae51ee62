package hear

import (
	"math"
	"sort"
)

// A bang as the model has it.
type bang struct {
	recording int
	at, rise  float64
	base      float64 // how many a second are heard about it that are no cue's
	load      float64 // how many a second the cues of the model bring there
	echo      float64 // how many a second of those before it are echoes there
}

const (
	// reach is the largest shift that is looked for, of the whole show and of a part of
	// it against the rest; step the one between those tried.
	reach     = 3.0
	partReach = 1.5
	step      = 0.005
	// around is how far to either side bangs are counted for how many there are.
	around = 5.0
	// fewestStray is the least rate of bangs that belong to nothing.
	fewestStray = 0.05
	// faint is by how much less of a rise makes it likelier that a bang belongs to nothing,
	// as a log, about that of usualRise.
	faint, usualRise = 2.2, 0.9
	// What burns longer than longBurn seconds from the ground is a cake: so many shots a
	// second, about.
	longBurn, shots = 3.0, 1.0
	// wide is how many scatters a bell reaches.
	wide = 4.0
	// liftChance is how often a lift is found, beside the break.
	liftChance = 0.3
)

// take lines the bangs up, with the rate of those that belong to nothing.
func (h *hearing) take() {
	for k, r := range h.recordings {
		for _, b := range r.Bangs {
			h.bangs = append(h.bangs, bang{recording: k, at: b.At.Seconds(), rise: b.Rise})
		}
	}
	h.echoes()
	h.ground()
}

// ground sets the rate of bangs that belong to nothing, about each: of those near it, less
// what the model has cues for. Faint ones more often belong to nothing: of bangs found in
// simulated fires the odds doubled with every 0.3 of the rise.
func (h *hearing) ground() {
	for i := range h.bangs {
		b := &h.bangs[i]
		stray := 0.0
		for k := i - 1; k >= 0 && h.near(k, i, around); k-- {
			stray += h.stray(k)
		}
		for k := i + 1; k < len(h.bangs) && h.near(k, i, around); k++ {
			stray += h.stray(k)
		}
		b.base = (fewestStray + b.echo + stray/(2*around)) * math.Exp(-faint*(b.rise-usualRise))
	}
	for _, d := range h.due {
		if burn := h.show.Cues[d.cue].Burn.Seconds(); !d.shell && burn > longBurn {
			// Shot after shot, nobody says when.
			for i := h.first(d.recording, d.at); i < len(h.bangs) && h.bangs[i].recording == d.recording && h.bangs[i].at < d.at+burn; i++ {
				h.bangs[i].base += shots
			}
		}
	}
}

// near reports whether bang k is of the recording of bang i, and within seconds of it.
func (h *hearing) near(k, i int, within float64) bool {
	return h.bangs[k].recording == h.bangs[i].recording && math.Abs(h.bangs[k].at-h.bangs[i].at) < within
}

// stray is the chance that a bang belongs to nothing, by the model so far.
func (h *hearing) stray(i int) float64 {
	b := h.bangs[i]
	if b.base == 0 {
		return 0.5
	}
	return b.base / (b.base + b.load)
}

// first is the place of the first bang of a recording at a moment or behind it.
func (h *hearing) first(recording int, at float64) int {
	return sort.Search(len(h.bangs), func(i int) bool {
		b := h.bangs[i]
		return b.recording > recording || b.recording == recording && b.at >= at
	})
}

// about are the places, from one up to another, of a recording's bangs that are at most
// so many seconds off a moment.
func (h *hearing) about(recording int, at, off float64) (from, to int) {
	from = h.first(recording, at-off)
	for to = from; to < len(h.bangs) && h.bangs[to].recording == recording && h.bangs[to].at <= at+off; {
		to++
	}
	return from, to
}

// bell is how many a second a cue brings, dt seconds off its moment.
func (d *due) bell(dt float64) float64 {
	z := dt / d.sd
	return d.chance * math.Exp(-z*z/2) / (d.sd * math.Sqrt(2*math.Pi))
}

// A curve is the log of how likely the bangs are with something late by so much more
// than the model has it, against as much: shifts are multiples of step about 0.
type curve []float64

func (c curve) shift(i int) float64 { return float64(i-len(c)/2) * step }

// curve tries the cues of own at every shift up to within either way.
func (h *hearing) curve(own func(due) bool, within float64) curve {
	half := int(within / step)
	out := make(curve, 2*half+1)
	rows := map[int][]float64{}
	var order []int
	for _, d := range h.due {
		if !own(d) {
			continue
		}
		at := d.at + h.late(d)
		far := wide * d.sd
		first, last := h.about(d.recording, at, within+far)
		for i := first; i < last; i++ {
			b := &h.bangs[i]
			row := rows[i]
			if row == nil {
				row = make([]float64, len(out))
				rows[i], order = row, append(order, i)
			}
			from, to := int(math.Ceil((b.at-at-far)/step))+half, int(math.Floor((b.at-at+far)/step))+half
			for g := max(0, from); g <= min(len(out)-1, to); g++ {
				row[g] += d.bell(b.at - at - out.shift(g))
			}
		}
	}
	for _, i := range order {
		row, b := rows[i], h.bangs[i]
		rest := b.base + max(0, b.load-row[half])
		for g, v := range row {
			out[g] += math.Log((rest + v) / b.base)
		}
	}
	return out
}

// spread sets what the model's cues bring to each bang.
func (h *hearing) spread() {
	for i := range h.bangs {
		h.bangs[i].load = 0
	}
	for _, d := range h.due {
		late := h.late(d)
		h.pour(d, d.at+late, 1)
		if d.shell {
			h.pour(d, d.lift+late, liftChance)
		}
	}
}

// pour adds a bell about a moment.
func (h *hearing) pour(d due, at, part float64) {
	from, to := h.about(d.recording, at, wide*d.sd)
	for i := from; i < to; i++ {
		b := &h.bangs[i]
		b.load += part * d.bell(b.at-at)
	}
}
