package reftest

// Trace returns, for each frame of the tape, which frame of the music it
// is, or -1. Where sound fades in or out nothing is found.
func Trace(tape [][2]float32, music []float32) []int {
	const n = 4
	index := make(map[[n]float32]int, len(music))
	for i := 0; i+n <= len(music); i++ {
		index[[n]float32(music[i:i+n])] = i
	}
	where := make([]int, len(tape))
	var window [n]float32
	for i := range where {
		where[i] = -1
		if i+n > len(tape) {
			continue
		}
		for k := range n {
			window[k] = tape[i+k][0]
		}
		if at, ok := index[window]; ok {
			where[i] = at
		}
	}
	return where
}
