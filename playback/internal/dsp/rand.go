package dsp

// A Rand is a small source of noise whose sequence never changes between Go
// releases: the SplitMix64 generator of Steele, Lea and Flood (2014).
type Rand uint64

// Uint64 returns the next 64 random bits.
func (r *Rand) Uint64() uint64 {
	*r += 0x9e3779b97f4a7c15
	z := uint64(*r)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// Bipolar returns the next random number, evenly spread over [-1, 1).
func (r *Rand) Bipolar() float64 {
	return float64(int64(r.Uint64())>>11) / (1 << 52)
}
