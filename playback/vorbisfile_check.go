package playback

import "math/bits"

// Bounds for the codebooks of a Vorbis stream. Encoders stay far below: the
// largest books in use have a few thousand entries.
const (
	maxBookEntries = 1 << 14
	maxBookValues  = 1 << 18
)

// vorbisSetupSafe walks the codebooks of a setup header (Vorbis I, section
// 3.2.1) and reports whether jfreymuth/vorbis can be trusted with them: it
// allocates what a book claims, before reading it, and loops for ever on
// a book without entries or dimensions, or one that ends too early.
func vorbisSetupSafe(b []byte) bool {
	r := &lsbReader{b: b}
	for range r.read(8) + 1 {
		if !bookSafe(r) {
			return false
		}
	}
	return true
}

func bookSafe(r *lsbReader) bool {
	sync, dims, entries := r.read(24), r.read(16), r.read(24)
	if sync != 0x564342 || dims == 0 || entries == 0 || entries > maxBookEntries || dims*entries > maxBookValues {
		return false
	}
	if ordered := r.read(1) == 1; ordered && !orderedSafe(r, entries) || !ordered && !lengthsSafe(r, entries) {
		return false
	}
	switch lookup := r.read(4); lookup {
	case 0:
	case 1, 2:
		r.read(32) // minimum
		r.read(32) // step
		size := r.read(4) + 1
		r.read(1) // running sum
		count := dims * entries
		if lookup == 1 {
			count = integerRoot(entries, dims)
		}
		for range count {
			r.read(int(size))
		}
	default:
		return false
	}
	return !r.short
}

// orderedSafe reads code lengths given as runs of ascending length.
func orderedSafe(r *lsbReader, entries uint64) bool {
	length := r.read(5) + 1
	for n := uint64(0); n < entries; length++ {
		run := r.read(bits.Len64(entries - n))
		if n += run; n > entries || length > 32 || r.short {
			return false
		}
	}
	return true
}

// lengthsSafe reads code lengths given one by one; at least one must be used.
func lengthsSafe(r *lsbReader, entries uint64) bool {
	used := 0
	sparse := r.read(1) == 1
	for range entries {
		if !sparse || r.read(1) == 1 {
			r.read(5)
			used++
		}
	}
	return used > 0 && !r.short
}

// integerRoot is the largest n with n^dims <= entries.
func integerRoot(entries, dims uint64) uint64 {
	for n := uint64(2); ; n++ {
		power := uint64(1)
		for i := uint64(0); i < dims && power <= entries; i++ {
			power *= n
		}
		if power > entries {
			return n - 1
		}
	}
}

// An lsbReader reads numbers of up to 32 bits, lowest bit first.
type lsbReader struct {
	b     []byte
	bit   int
	short bool // read past the end
}

func (r *lsbReader) read(n int) (v uint64) {
	for i := range n {
		if r.bit>>3 >= len(r.b) {
			r.short = true
			return 0
		}
		v |= uint64(r.b[r.bit>>3]>>(r.bit&7)&1) << i
		r.bit++
	}
	return v
}
