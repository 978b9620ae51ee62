package ltc

import "math"

// halves is how many half bits a frame has. Every half bit may start with an
// edge; one more edge ends the frame.
const halves = 160

// render puts the samples of frame k into e.buf: a square wave first, then the
// shape of each edge. As every frame holds an even number of ones it starts
// with a rising edge and ends before the next, so no other frame is needed.
func (e *Encoder) render(k int64) {
	e.frame = k
	e.at = e.c.Rate.Sample(k, e.c.SampleRate)
	e.buf = e.buf[:e.c.Rate.Sample(k+1, e.c.SampleRate)-e.at]
	var room [halves + 1]float64
	edges := e.edges(room[:0], k)

	level, i := -e.level, 0
	for _, t := range edges {
		for end := min(len(e.buf), int(math.Ceil(t))); i < end; i++ {
			e.buf[i] = level
		}
		level = -level
	}
	for ; i < len(e.buf); i++ {
		e.buf[i] = level
	}
	level = -e.level
	for _, t := range edges {
		e.shape(t, level)
		level = -level
	}
}

// edges appends the times of frame k's edges, in samples from e.at. They are
// computed from k each, so that no error adds up.
func (e *Encoder) edges(list []float64, k int64) []float64 {
	rate := int64(e.c.SampleRate)
	w := NewWord(e.c.Rate, e.c.Rate.Timecode(e.first+k), e.c.Extras)
	whole, rest, num := e.c.Rate.Start(k, rate)
	_, den := e.c.Rate.Fraction()
	offset := float64(whole - e.at)
	for h := range int64(halves + 1) {
		bit := h / 2
		if h%2 == 0 || w[bit/8]>>(bit%8)&1 != 0 {
			list = append(list, offset+float64(halves*rest+h*rate*den)/float64(halves*num))
		}
	}
	return list
}

// shape rounds the edge at t that leads from level to -level. Adding what is
// missing to the square wave keeps it right where edges meet, as they do at
// low sample rates.
func (e *Encoder) shape(t, level float64) {
	from := max(0, int(math.Ceil(t-e.width/2)))
	to := min(len(e.buf), int(math.Floor(t+e.width/2))+1)
	for i := from; i < to; i++ {
		x := float64(i) - t
		done := 1 + math.Sin(math.Pi/e.width*x) // 0 to 2
		if x >= 0 {
			done -= 2 // the square wave has made the step already
		}
		e.buf[i] -= level * done
	}
}
