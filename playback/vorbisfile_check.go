package playback

import (
	"errors"
	"math"
	"math/bits"
)

// Bounds for the codebooks of a Vorbis stream. Encoders stay far below: the
// largest books in use have a few thousand entries.
const (
	maxBookEntries = 1 << 14
	maxBookValues  = 1 << 18
)

// errFloor0 is a stream whose spectra are given as filters ("floor type 0", Vorbis
// I, section 6), as encoders did before the format was settled in 2002.
// jfreymuth/vorbis v1.0.0 makes numbers of them that are none (its floor0.go counts
// 1/4 as 0, and places the root and the scale of pitch wrongly).
var errFloor0 = errors.New("its spectra are of floor type 0")

// mendVorbisSetup walks the codebooks of a setup header (Vorbis I, section
// 4.2.4) and returns it as jfreymuth/vorbis reads it right. Its error is
// errVorbisHeader where the library cannot be trusted with it: it allocates what a book claims, before reading it, and
// loops for ever on a book without dimensions, or one that ends too early. Two
// kinds of book, both met in files that the reference decoder plays, are written
// anew, as other books that mean the same:
//   - one of which no entry is used, on which the library would loop for ever;
//   - one whose values are so many that the library counts one too few for each
//     dimension, as it takes their root in floating point (2744^(1/3) is 13.99...)
//     and rounds down: see bookMender.spellOut.
func mendVorbisSetup(b []byte) ([]byte, error) {
	m := &bookMender{r: lsbReader{b: b}}
	for range m.pass(8) + 1 {
		if !m.book() {
			return nil, errVorbisHeader
		}
	}
	if ahead := m.r; ahead.floor0() {
		return nil, errFloor0
	}
	for m.r.bit < 8*len(b) {
		m.pass(1)
	}
	return m.w.b, nil
}

// A bookMender copies codebooks from r to w, and mends them on the way.
type bookMender struct {
	r lsbReader
	w lsbWriter
}

// pass copies a number of n bits.
func (m *bookMender) pass(n int) uint64 {
	v := m.r.read(n)
	m.w.write(v, n)
	return v
}

// book copies a book, and reports whether it is sound.
func (m *bookMender) book() bool {
	sync, dims, entries := m.pass(24), m.pass(16), m.pass(24)
	if sync != 0x564342 || dims == 0 || entries == 0 || entries > maxBookEntries || dims*entries > maxBookValues {
		return false
	}
	if ordered := m.pass(1) == 1; ordered && !m.orderedLengths(entries) || !ordered && !m.lengths(entries) {
		return false
	}
	lookup := m.r.read(4)
	if lookup > 2 {
		return false
	}
	root := integerRoot(entries, dims)
	anew := lookup == 1 && root != uint64(math.Floor(math.Pow(float64(entries), 1/float64(dims)))) // as the library counts
	if anew {
		m.w.write(2, 4)
	} else {
		m.w.write(lookup, 4)
	}
	if lookup == 0 {
		return !m.r.short
	}
	m.pass(32) // minimum
	m.pass(32) // step
	size := int(m.pass(4) + 1)
	m.pass(1) // running sum
	if anew {
		m.spellOut(entries, dims, root, size)
		return !m.r.short
	}
	count := dims * entries
	if lookup == 1 {
		count = root
	}
	for range count {
		m.pass(size)
	}
	return !m.r.short
}

// spellOut writes the values of a book of lookup type 1 as those of type 2. In
// type 1 an entry is a number whose digits, to the base of root and lowest first,
// choose the entry's values from a list of root; in type 2 each entry lists its own.
func (m *bookMender) spellOut(entries, dims, root uint64, size int) {
	list := make([]uint64, root)
	for i := range list {
		list[i] = m.r.read(size)
	}
	for digits := range entries {
		for range dims {
			m.w.write(list[digits%root], size)
			digits /= root
		}
	}
}

// orderedLengths copies code lengths given as runs of ascending length.
func (m *bookMender) orderedLengths(entries uint64) bool {
	length := m.pass(5) + 1
	for n := uint64(0); n < entries; length++ {
		run := m.pass(bits.Len64(entries - n))
		if n += run; n > entries || length > 32 || m.r.short {
			return false
		}
	}
	return true
}

// lengths copies code lengths given one by one. Where none is used the first
// entry gets one, of a single bit: no sound stream asks such a book.
func (m *bookMender) lengths(entries uint64) bool {
	sparse := m.pass(1) == 1
	if sparse && m.r.zeros(entries) {
		m.r.read(1)
		m.w.write(1, 1)
		m.w.write(0, 5)
		entries--
	}
	for range entries {
		if !sparse || m.pass(1) == 1 {
			m.pass(5)
		}
	}
	return !m.r.short
}

// floor0 reads what follows the codebooks, and reports whether any floor is of
// type 0.
func (r *lsbReader) floor0() bool {
	for range r.read(6) + 1 {
		r.read(16) // time domain transforms: a place kept for what never came
	}
	for range r.read(6) + 1 {
		if r.read(16) == 0 {
			return !r.short
		}
		r.floor1()
	}
	return false
}

// floor1 reads a floor of type 1 (Vorbis I, section 7.2.2).
func (r *lsbReader) floor1() {
	partitions := make([]uint64, r.read(5))
	classes := uint64(0)
	for i := range partitions {
		partitions[i] = r.read(4)
		classes = max(classes, partitions[i]+1)
	}
	var sizes [16]int
	for i := range classes {
		sizes[i] = int(r.read(3) + 1)
		subclasses := r.read(2)
		if subclasses > 0 {
			r.read(8) // the book that chooses one
		}
		for range 1 << subclasses {
			r.read(8) // the books of each
		}
	}
	r.read(2) // multiplier
	width := int(r.read(4))
	for _, class := range partitions {
		for range sizes[class] {
			r.read(width)
		}
	}
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

// zeros reports whether the next n bits are all there and all 0.
func (r *lsbReader) zeros(n uint64) bool {
	ahead := *r
	for range n {
		if ahead.read(1) == 1 {
			return false
		}
	}
	return !ahead.short
}

// An lsbWriter writes numbers, lowest bit first.
type lsbWriter struct {
	b   []byte
	bit int
}

func (w *lsbWriter) write(v uint64, n int) {
	for i := range n {
		if w.bit&7 == 0 {
			w.b = append(w.b, 0)
		}
		w.b[w.bit>>3] |= byte(v>>i&1) << (w.bit & 7)
		w.bit++
	}
}
