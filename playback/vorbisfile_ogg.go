package playback

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"io"
)

// An oggSource reads the pages of one logical stream of an Ogg file (RFC
// 3533) and finds them from any offset, by the capture pattern and checksum.
type oggSource struct {
	f      io.ReadSeeker
	end    int64
	serial uint32
	buf    *bufio.Reader
	at     int64 // offset of the next byte of buf, -1 if unknown
}

// An oggPage is a page whose checksum is right.
type oggPage struct {
	at, end int64 // its bytes in the file
	flags   byte
	granule int64 // frames up to the end of the last packet that ends here; -1 if none does
	serial  uint32
	seq     uint32
	lacing  []byte
	body    []byte
}

const (
	oggContinued = 1 // the page starts within a packet
	oggFirst     = 2
	oggLast      = 4

	oggHeaderSize = 27
	oggPageMax    = oggHeaderSize + 255 + 255*255
)

var errNoPage = errors.New("a page of the Ogg file is missing or damaged")

func newOggSource(f io.ReadSeeker) (*oggSource, error) {
	end, err := f.Seek(0, io.SeekEnd)
	return &oggSource{f: f, end: end, at: -1, buf: bufio.NewReaderSize(f, oggPageMax)}, err
}

// moveTo makes at the offset of the next byte of buf.
func (s *oggSource) moveTo(at int64) error {
	if s.at == at {
		return nil
	}
	if d := at - s.at; s.at >= 0 && d > 0 && d <= int64(s.buf.Buffered()) {
		s.buf.Discard(int(d)) // cannot fail: the bytes are there
		s.at = at
		return nil
	}
	s.at = -1
	if _, err := s.f.Seek(at, io.SeekStart); err != nil {
		return err
	}
	s.buf.Reset(s.f)
	s.at = at
	return nil
}

// head returns what the page at offset at says of itself, with no body and not
// held against its checksum. Its error is errNoPage, or one of f.
func (s *oggSource) head(at int64) (p oggPage, err error) {
	if err := s.moveTo(at); err != nil {
		return p, err
	}
	h, err := s.buf.Peek(oggHeaderSize)
	// No flags but these have a meaning; others are a sign of rubbish, of which
	// summing up what it claims to hold would take long.
	if err != nil || string(h[:5]) != "OggS\x00" || h[5]&^(oggContinued|oggFirst|oggLast) != 0 {
		return p, pageError(err)
	}
	size := oggHeaderSize + int(h[26])
	if h, err = s.buf.Peek(size); err != nil {
		return p, pageError(err)
	}
	for _, n := range h[oggHeaderSize:] {
		size += int(n)
	}
	le := binary.LittleEndian
	return oggPage{at: at, end: at + int64(size), flags: h[5], granule: int64(le.Uint64(h[6:])),
		serial: le.Uint32(h[14:]), seq: le.Uint32(h[18:])}, nil
}

// page returns the page at offset at. Its error is errNoPage, or one of f.
// The page's bytes are good until the next call.
func (s *oggSource) page(at int64) (p oggPage, err error) {
	if p, err = s.head(at); err != nil {
		return p, err
	}
	size := int(p.end - p.at)
	b, err := s.buf.Peek(size)
	if err != nil {
		return p, pageError(err)
	}
	if oggCRC(b) != binary.LittleEndian.Uint32(b[22:]) {
		return p, errNoPage
	}
	lacing := oggHeaderSize + int(b[26])
	p.lacing, p.body = b[oggHeaderSize:lacing], b[lacing:]
	s.buf.Discard(size) // cannot fail: the bytes are there
	s.at = p.end
	return p, nil
}

// pageError tells a page that is not there from a file that cannot be read.
func pageError(err error) error {
	if err == nil || err == io.EOF {
		return errNoPage
	}
	return err
}

// find returns the first page of the stream that starts at or behind from and
// before to, passing over other streams and anything that is not a page.
func (s *oggSource) find(from, to int64) (oggPage, error) {
	for from < to {
		p, err := s.page(from)
		switch {
		case err == nil && p.serial == s.serial:
			return p, nil
		case err == nil:
			from = p.end
		case err == errNoPage:
			if from, err = s.capture(from+1, to); err != nil {
				return oggPage{}, err
			}
		default:
			return oggPage{}, err
		}
	}
	return oggPage{}, errNoPage
}

// capture returns the offset of the next capture pattern in from..to, or to.
func (s *oggSource) capture(from, to int64) (int64, error) {
	const window = 1 << 12
	if from == s.at+1 { // as from a place that turned out to be no page
		n, _ := s.buf.Discard(1) // an error shows below
		s.at += int64(n)
	}
	if err := s.moveTo(from); err != nil {
		return 0, err
	}
	for s.at < to {
		w, err := s.buf.Peek(window)
		if i := bytes.Index(w, []byte("OggS")); i >= 0 {
			s.buf.Discard(i) // cannot fail: the bytes are there
			s.at += int64(i)
			return min(s.at, to), nil
		}
		if err == io.EOF {
			break
		} else if err != nil {
			return 0, err
		}
		s.buf.Discard(window - 3)
		s.at += window - 3
	}
	return to, nil
}

// packets calls whole for each packet that ends on p. partial is what earlier
// pages hold of the first one, nil if that is lost; the return value is
// what p holds of a packet that goes on. limit bounds the size of a packet.
// A packet's bytes are good until the next page is read.
func (p *oggPage) packets(partial []byte, limit int, whole func([]byte)) []byte {
	if len(p.lacing) == 0 {
		return partial
	}
	lost := p.flags&oggContinued != 0 && partial == nil
	if p.flags&oggContinued == 0 {
		partial = nil
	}
	body, size := p.body, 0
	for _, n := range p.lacing {
		size += int(n)
		if n == 255 {
			continue
		}
		switch {
		case lost || len(partial)+size > limit:
		case partial == nil:
			whole(body[:size])
		default:
			whole(append(partial, body[:size]...))
		}
		partial, lost = nil, false
		body, size = body[size:], 0
	}
	if size == 0 || lost || len(partial)+size > limit {
		return nil
	}
	return append(partial, body...)
}

// ends counts the packets that end on p.
func (p *oggPage) ends() (n int) {
	for _, l := range p.lacing {
		if l < 255 {
			n++
		}
	}
	return n
}

// oggCRC is the checksum of a page: x^32 + ... (0x04C11DB7), not reflected,
// from 0, with the checksum's own bytes taken as 0 (RFC 3533, section 6).
func oggCRC(page []byte) (crc uint32) {
	for i, b := range page {
		if i >= 22 && i < 26 {
			b = 0
		}
		crc = crc<<8 ^ oggCRCTable[byte(crc>>24)^b]
	}
	return crc
}

var oggCRCTable = crcTable[uint32](32, 0x04C11DB7)
