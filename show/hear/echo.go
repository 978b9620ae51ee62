package hear

// Walls and woods answer to every bang after the same time, fainter. A position that is
// hardly heard would else be found as late as an echo of the others is.
const (
	// echoFirst and echoLongest are how soon and how late a place may answer, echoWidth
	// how far to either side of its time an echo is found, all in seconds.
	echoFirst   = 0.05
	echoLongest = 1.6
	echoWidth   = 0.008
	echoStep    = 0.004
	// echoAround is how far about a time others are counted for how many there are by
	// chance.
	echoAround = 0.152
)

// echoes sets how many echoes a second of bangs before it are to be expected where each
// bang is: the times after which bangs come more often than about them tell.
func (h *hearing) echoes() {
	counts := make([]float64, int(echoLongest/echoStep)+1)
	h.after(func(i, j int, lag float64) {
		if h.bangs[j].rise < h.bangs[i].rise {
			counts[int(lag/echoStep)]++
		}
	})
	chance := make([]float64, len(counts))
	const width, wide = int(echoWidth / echoStep), int(echoAround / echoStep)
	for k := range chance {
		more := mean(counts, k-width, k+width) - mean(counts, k-wide, k+wide)
		chance[k] = max(0, more) / (echoStep * float64(max(len(h.bangs), 1)))
	}
	h.after(func(_, j int, lag float64) {
		h.bangs[j].echo += chance[int(lag/echoStep)]
	})
}

// after calls fn for every bang j that comes within an echo's time after bang i.
func (h *hearing) after(fn func(i, j int, lag float64)) {
	for j := range h.bangs {
		for i := j - 1; i >= 0 && h.near(i, j, echoLongest); i-- {
			if lag := h.bangs[j].at - h.bangs[i].at; lag >= echoFirst {
				fn(i, j, lag)
			}
		}
	}
}

// mean is that of x from one place to another, as far as there are any.
func mean(x []float64, from, to int) float64 {
	from, to = max(0, from), min(len(x)-1, to)
	sum := 0.0
	for _, v := range x[from : to+1] {
		sum += v
	}
	return sum / float64(to-from+1)
}
