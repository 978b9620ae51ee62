package playback

import (
	"bufio"
	"crypto/md5"
	"errors"
	"fmt"
	"io"

	"drylane/playback/riff"
	"drylane/show/timebase"

	"github.com/mewkiz/flac/frame"
)

// A flacSource decodes blocks at given offsets of a FLAC file, and finds them:
// by the sync code, a header that fits the stream, and both checksums. The
// seek table is not used; a wrong one would misplace the music.
type flacSource struct {
	f              io.ReadSeeker
	start, end     int64 // the bytes that hold blocks
	rate, channels int
	bits           int
	md5            [md5.Size]byte // of the sound; all zero if the file states none
	unit           timebase.Frame // size of all blocks but the last, if fixed
	base           timebase.Frame // number of the first block's first frame
	buf            *bufio.Reader
	at             int64 // offset of the next byte of buf, -1 if unknown
	broken         error // an error of f itself, not of what it holds
}

var errNoBlock = errors.New("a block of the FLAC file is missing")

// begin settles where frame 0 is: at the first block, which in a file cut out
// of a longer one has a later number.
func (s *flacSource) begin() error {
	b, err := s.decode(s.start)
	if err == nil {
		s.base = b.start
	} else {
		s.find(s.start, s.end) // settles unit
	}
	if s.broken != nil {
		return unreadable(s.broken)
	}
	return nil
}

// Read counts what mewkiz/flac takes, and keeps f's own errors apart.
func (s *flacSource) Read(p []byte) (int, error) {
	n, err := s.buf.Read(p)
	s.at += int64(n)
	if err != nil && err != io.EOF {
		s.broken = err
	}
	return n, err
}

// moveTo makes at the offset of the next byte.
func (s *flacSource) moveTo(at int64) error {
	if s.at == at {
		return nil
	}
	if _, err := s.f.Seek(at, io.SeekStart); err != nil {
		s.broken = err
		return err
	}
	s.buf.Reset(s.f)
	s.at = at
	return nil
}

// decode decodes the block whose header is at offset at.
func (s *flacSource) decode(at int64) (b flacBlock, err error) {
	if err := s.moveTo(at); err != nil {
		return b, err
	}
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("damaged FLAC block: %v", r)
		}
	}()
	head, err := s.buf.Peek(flacHeaderSize)
	if len(head) < 6 || !s.fits(head) {
		if err != nil && err != io.EOF {
			s.broken = err
		}
		return b, errNoBlock
	}
	f, err := parseFLACBlock(s, head, s.bits)
	if err != nil {
		return b, fmt.Errorf("damaged FLAC block: %w", err)
	}
	b = flacBlock{start: s.number(f) - s.base, at: at, end: s.at}
	b.samples[0], b.samples[1] = f.Subframes[0].Samples, f.Subframes[s.channels-1].Samples
	return b, nil
}

// number is the number of the block's first frame. A stream of fixed blocks
// numbers the blocks; the last one's own size says nothing about the others'.
func (s *flacSource) number(f *frame.Frame) timebase.Frame {
	if !f.HasFixedBlockSize {
		return timebase.Frame(f.Num)
	}
	if s.unit == 0 {
		s.unit = timebase.Frame(f.BlockSize)
	}
	return timebase.Frame(f.Num) * s.unit
}

// flacHeaderSize is the longest a block header gets.
const flacHeaderSize = 16

// Codes of a block header (RFC 9639, section 9.1) for rates and sizes; 0 says
// to look into the stream info, rates 12 to 14 stand at the header's end.
var (
	flacRates = [16]int{1: 88200, 2: 176400, 3: 192000, 4: 8000, 5: 16000, 6: 22050,
		7: 24000, 8: 32000, 9: 44100, 10: 48000, 11: 96000}
	flacBits = [8]int{1: 8, 2: 12, 4: 16, 5: 20, 6: 24}
)

// fits reports whether head may begin a block of this stream.
func (s *flacSource) fits(head []byte) bool {
	if head[0] != 0xFF || head[1]&0xFE != 0xF8 {
		return false
	}
	rate, bits, channels := head[2]&0x0F, head[3]>>1&7, head[3]>>4
	return (rate == 0 || flacRates[rate] == s.rate || rate >= 12 && rate <= 14) &&
		(bits == 0 || flacBits[bits] == s.bits) && head[3]&1 == 0 &&
		(s.channels == 1 && channels == 0 || s.channels == 2 && (channels == 1 || channels >= 8 && channels <= 10))
}

// find returns the first block that starts at or behind offset from and
// before to.
func (s *flacSource) find(from, to int64) (flacBlock, error) {
	const window = 1 << 14
	for from < to && s.broken == nil {
		w, err := riff.ReadAt(s.f, from, window)
		if err != nil {
			s.broken = err
			break
		}
		s.at = -1
		for i := 0; i+4 <= len(w) && from+int64(i) < to; i++ {
			if !s.fits(w[i:]) {
				continue
			}
			if b, err := s.decode(from + int64(i)); err == nil {
				return b, nil
			}
		}
		if len(w) < window {
			break
		}
		from += window - 3
	}
	return flacBlock{}, errNoBlock
}

// before returns the last block that starts at or before frame, or the first
// of all.
func (s *flacSource) before(frame timebase.Frame) (flacBlock, error) {
	if b, err := s.decode(s.start); err == nil && frame < b.endFrame() {
		return b, nil // as at every opening
	}
	lo, hi := s.start, s.end
	for hi-lo > 1<<15 && s.broken == nil {
		mid := lo + (hi-lo)/2
		b, err := s.find(mid, hi)
		switch {
		case err != nil || b.start > frame:
			hi = mid
		case frame < b.endFrame():
			return b, nil
		default:
			lo = b.at
		}
	}
	b, err := s.find(lo, s.end)
	for err == nil && b.endFrame() <= frame && s.broken == nil {
		var next flacBlock
		if next, err = s.decode(b.end); err != nil {
			next, err = s.find(b.end, s.end)
		}
		if err == nil && next.start > frame {
			break
		}
		if err == nil {
			b = next
		}
	}
	if s.broken != nil {
		return b, s.broken
	}
	return b, nil
}

// last returns the last whole block, however much rubbish follows it.
func (s *flacSource) last() (flacBlock, error) {
	var found flacBlock
	for span, hi := int64(1<<15), s.end; hi > s.start && s.broken == nil; span *= 2 {
		lo := max(hi-span, s.start)
		for at := lo; ; at = found.end {
			b, err := s.find(at, hi)
			if err != nil {
				break
			}
			found = b
		}
		if found.samples[0] != nil {
			return found, nil
		}
		hi = lo
	}
	if s.broken != nil {
		return found, unreadable(s.broken)
	}
	return found, refuse("is a FLAC file without a single whole block of sound", wantWhole)
}
