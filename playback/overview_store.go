package playback

import (
	"encoding/binary"
	"errors"
)

// OverviewVersion numbers what an Overview holds, and how it is stored.
const OverviewVersion = 1

// overviewHead is the size of what stands before the columns of a stored overview.
const overviewHead = 24

// head is what an overview of another soundtrack, or another kind, differs in.
func (o *Overview) head() (b [overviewHead]byte) {
	binary.LittleEndian.PutUint64(b[0:], uint64(o.rate))
	binary.LittleEndian.PutUint64(b[8:], uint64(o.length))
	binary.LittleEndian.PutUint64(b[16:], uint64(o.bucket))
	return b
}

// Store returns a whole overview as bytes.
func (o *Overview) Store() []byte {
	head := o.head()
	b := head[:]
	for _, level := range o.levels {
		for _, c := range level {
			for _, v := range [...]uint16{c.peak[0], c.peak[1], c.rms[0], c.rms[1]} {
				b = binary.LittleEndian.AppendUint16(b, v)
			}
		}
	}
	return b
}

// Restore fills an overview of which nothing has been built with what Store returned
// of the same soundtrack. It is an error if b is anything else.
func (o *Overview) Restore(b []byte) error {
	columns := 0
	for _, level := range o.levels {
		columns += len(level)
	}
	head := o.head()
	if len(b) != overviewHead+8*columns || string(b[:overviewHead]) != string(head[:]) {
		return errors.New("found no stored waveform of this soundtrack")
	}
	b = b[overviewHead:]
	for _, level := range o.levels {
		for i := range level {
			c := &level[i]
			for k, v := range [...]*uint16{&c.peak[0], &c.peak[1], &c.rms[0], &c.rms[1]} {
				*v = binary.LittleEndian.Uint16(b[2*k:])
			}
			b = b[8:]
		}
	}
	o.added = o.length
	o.built.Store(int64(o.length))
	return nil
}
