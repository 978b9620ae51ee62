package playback

import (
	"crypto/md5"
	"encoding/binary"
	"fmt"
	"hash"

	"drylane/show/timebase"
)

// A flacSum holds the sound of a FLAC file against the MD5 in its header, which
// the encoder took of what it was given (RFC 9639, section 8.2). Each block is
// taken in once, in order, whenever it comes by: after a read of the whole file
// the sum is complete, whatever seeks were between.
type flacSum struct {
	want [md5.Size]byte // all zero: the file states none
	h    hash.Hash
	next timebase.Frame // the first frame that is not in yet
	buf  []byte
}

func newFLACSum(want [md5.Size]byte) *flacSum { return &flacSum{want: want, h: md5.New()} }

// add takes in the block, if it is the next one: its samples as signed
// little-endian integers of as few bytes as hold bits.
func (s *flacSum) add(b *flacBlock, channels, bits int) {
	if s.want == [md5.Size]byte{} || b.start != s.next || len(b.samples[0]) == 0 {
		return
	}
	size := (bits + 7) / 8
	s.buf = s.buf[:0]
	var sample [4]byte
	for i := range b.samples[0] {
		for c := range channels {
			binary.LittleEndian.PutUint32(sample[:], uint32(b.samples[c][i]))
			s.buf = append(s.buf, sample[:size]...)
		}
	}
	s.h.Write(s.buf)
	s.next = b.endFrame()
}

// verdict says in a sentence that the sound is not what the encoder was given;
// empty when it is, and while not all of length is in.
func (s *flacSum) verdict(length timebase.Frame) string {
	if s.next != length || s.want == [md5.Size]byte{} {
		return ""
	}
	if got := s.h.Sum(nil); string(got) != string(s.want[:]) {
		return fmt.Sprintf("its sound is not what it was made from: the MD5 of the sound is %x..., the file states %x...", got[:6], s.want[:6])
	}
	return ""
}
