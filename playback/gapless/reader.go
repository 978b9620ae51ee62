// Package gapless reads MP3 files to the frame: the first frame of the stream
// is the first frame of the encoded master, the last is its last, and after any
// seek the frames are those of a straight read.
//
// The decoding itself is done by github.com/hajimehoshi/go-mp3. Everything
// around it is done here: tags, the encoder's delay, the index of MPEG frames,
// the bit reservoir, and what is damaged or missing.
//
// beep's mp3 is the same decoder without any of that (measured, v1.1.0): of the
// demo's music it gives 2,340 frames too many, the encoder's delay first; 19
// seeks of 20 gave other sound than a straight read; and it divides by 32767.
//
// Three things of that decoder are not mended here. It takes the positions of
// intensity stereo from the wrong channel (Info tells of such files). It cannot
// decode mixed blocks at MPEG-2 rates, which are played as silence. And it gives
// 16 bits, cut off rather than rounded and clipped at full scale. Encoders at
// the bit rates that music is sent at make neither of the first two.
package gapless

import (
	"fmt"
	"io"
)

// A Reader streams an MP3 file. It is a beep.StreamSeeker; a mono file plays
// on both channels. It belongs to one goroutine.
type Reader struct {
	ix  *index
	dec *decoder
	pos int64 // the next frame of music
	at  int   // the entry in dec.pcm, -1 for none
	err error
}

// NewReader reads rs once from end to end, to index it, and returns a Reader
// at its first frame. It fails on a source that holds no MPEG-1 or MPEG-2 layer
// III stream, or one that changes its rate or its count of channels. The
// caller closes rs, after the last use of the Reader.
func NewReader(rs io.ReadSeeker) (*Reader, error) {
	ix, err := newIndex(rs)
	if err != nil {
		return nil, fmt.Errorf("mp3: %w", err)
	}
	return (&Reader{ix: ix}).Again(rs), nil
}

// Again returns another Reader of the same file, at its first frame: rs is that file
// once more, and is not read to be indexed. Safe while r is used elsewhere.
func (r *Reader) Again(rs io.ReadSeeker) *Reader {
	return &Reader{ix: r.ix, dec: newDecoder(r.ix, rs), at: -1}
}

// Rate is the sample rate in Hz.
func (r *Reader) Rate() int { return r.ix.ref.rate() }

// Channels is the count of channels of the file: 1 or 2.
func (r *Reader) Channels() int { return r.ix.ref.channels() }

// Len is the length of the music in frames.
func (r *Reader) Len() int { return int(r.ix.frames) }

// Position is the frame that Stream gives next.
func (r *Reader) Position() int { return int(r.pos) }

// Err is why the stream broke off, nil while it goes on and after its end.
func (r *Reader) Err() error { return r.err }

// Seek makes frame the next to come. It decodes nothing yet: the next Stream
// does. A broken stream stays broken.
func (r *Reader) Seek(frame int) error {
	if frame < 0 || int64(frame) > r.ix.frames {
		return fmt.Errorf("mp3: no frame %d, the music has %d", frame, r.ix.frames)
	}
	r.pos = int64(frame)
	return r.err
}

// Stream fills samples with the next frames.
func (r *Reader) Stream(samples [][2]float64) (n int, ok bool) {
	for n < len(samples) {
		b := r.next(int64(len(samples) - n))
		if len(b) == 0 {
			break
		}
		n += convert(samples[n:], b)
	}
	return n, n > 0 || len(samples) == 0 && r.err == nil && r.pos < r.ix.frames
}

// next decodes up to that many frames of music, all of one MPEG frame. There are
// none at the end, and where the stream breaks off.
func (r *Reader) next(most int64) []byte {
	if r.pos >= r.ix.frames || r.err != nil {
		return nil
	}
	k, within := r.ix.at(r.pos)
	if err := r.load(k); err != nil {
		r.err = fmt.Errorf("mp3: %w", err)
		return nil
	}
	n := min(most, r.ix.frames-r.pos, r.ix.perFrame()-within)
	r.pos += n
	return r.dec.pcm[pcmFrame*within : pcmFrame*(within+n)]
}

// load decodes entry k.
func (r *Reader) load(k int) error {
	if k == r.at {
		return nil
	}
	r.at = -1
	if r.dec.mp3 == nil || r.dec.feed.next != k {
		if err := r.dec.seek(k); err != nil {
			return err
		}
	}
	if err := r.dec.frame(); err != nil {
		return err
	}
	r.at = k
	return nil
}
