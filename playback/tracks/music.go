package tracks

import (
	"errors"
	"fmt"

	"drylane/playback"

	"github.com/faiface/beep"
)

// A Master reads the music for any number of sides. Sides with one offset
// share a reader, so that the music is decoded once for both.
type Master struct {
	open    func() (*playback.Soundtrack, error)
	readers map[int64]*reader
	files   []*playback.Soundtrack
}

// NewMaster returns a Master that reads what open opens, once for each offset.
func NewMaster(open func() (*playback.Soundtrack, error)) *Master {
	return &Master{open: open, readers: map[int64]*reader{}}
}

// Close closes what was opened.
func (m *Master) Close() error {
	var errs []error
	for _, f := range m.files {
		errs = append(errs, f.Close())
	}
	m.files = nil
	return errors.Join(errs...)
}

func (m *Master) reader(offset int64) (*reader, error) {
	if r := m.readers[offset]; r != nil {
		return r, nil
	}
	s, err := m.open()
	if err != nil {
		return nil, err
	}
	m.files = append(m.files, s)
	m.readers[offset] = &reader{stream: s, length: int64(s.Len())}
	return m.readers[offset], nil
}

// A reader reads stretches of a stream and keeps the last one, which the other
// side is about to ask for.
type reader struct {
	stream beep.StreamSeeker
	length int64
	from   int64
	last   [][2]float64
}

// read returns n frames from on; what lies outside the stream is silence.
func (r *reader) read(from int64, n int) ([][2]float64, error) {
	if r.from == from && len(r.last) == n {
		return r.last, nil
	}
	if cap(r.last) < n {
		r.last = make([][2]float64, n)
	}
	r.last, r.from = r.last[:n], from
	clear(r.last)
	lo, hi := max(from, 0), min(from+int64(n), r.length)
	if lo >= hi {
		return r.last, nil
	}
	if int64(r.stream.Position()) != lo {
		if err := r.stream.Seek(int(lo)); err != nil {
			return nil, fmt.Errorf("reading the music: %w", err)
		}
	}
	rest := r.last[lo-from : hi-from]
	for len(rest) > 0 {
		k, ok := r.stream.Stream(rest)
		if !ok {
			break // shorter than it said: the rest is silence, as everywhere
		}
		rest = rest[k:]
	}
	return r.last, r.stream.Err()
}

// Music is one side of the master, with a witness tone laid in or not.
type Music struct {
	reader  *reader
	weights [2]float64 // of the left and the right
	witness *burst
}

// Music returns a side of the master that is made of its channels by weights,
// for a Side of that offset.
func (m *Master) Music(weights [2]float64, offset int64) (*Music, error) {
	r, err := m.reader(offset)
	return &Music{reader: r, weights: weights}, err
}

// LayWitness adds a tone to the music: what is under it stays as it is.
func (m *Music) LayWitness(t *Tone, at, length int64) { m.witness = &burst{t, at, length} }

// Fill implements Source.
func (m *Music) Fill(dst []float64, from int64) error {
	if err := m.plain(dst, from); err != nil {
		return err
	}
	if m.witness != nil {
		m.witness.add(dst, from)
	}
	return nil
}

// plain is the music without its witness.
func (m *Music) plain(dst []float64, from int64) error {
	frames, err := m.reader.read(from, len(dst))
	if err != nil {
		return err
	}
	for i, f := range frames {
		dst[i] = m.weights[0]*f[0] + m.weights[1]*f[1]
	}
	return nil
}
