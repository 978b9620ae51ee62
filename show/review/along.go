package review

// figures returns gap, turn and bass of the strongest accent within reach of every
// multiple of grid, 0 where there is none.
func (e *Ear) figures() [][]float32 {
	if e.along != nil {
		return e.along
	}
	n := int(e.music.end()/grid) + 2
	strongest := make([]float64, n)
	e.along = [][]float32{make([]float32, n), make([]float32, n), make([]float32, n)}
	for i, a := range e.music.Accents {
		for g := max(0, int((a.At-oneMeeting)/grid)+1); g <= min(n-1, int((a.At+oneMeeting)/grid)); g++ {
			if e.strength[i] >= strongest[g] {
				strongest[g] = e.strength[i]
				e.along[0][g], e.along[1][g], e.along[2][g] = float32(e.gap[i]), float32(e.turn[i]), float32(e.bass[i])
			}
		}
	}
	return e.along
}
