package truth

import (
	"errors"
	"fmt"
)

// The events of a track that are told apart.
const (
	noteOff     = 0x80
	noteOn      = 0x90
	program     = 0xc0
	pressure    = 0xd0
	system      = 0xf0
	systemMore  = 0xf7
	meta        = 0xff
	metaEnd     = 0x2f
	metaTempo   = 0x51
	metaMeter   = 0x58
	maxTicks    = 1 << 28 // of a track: keeps sums of ticks and tempo in range
	tempoLength = 3
)

// errCut is a track that ends within an event.
var errCut = errors.New("it ends within an event")

// track adds the notes and tempos of one track chunk.
func (s *score) track(b []byte) error {
	var tick int64
	var status byte
	for len(b) > 0 {
		delta, rest, err := varLen(b)
		if err != nil {
			return err
		}
		if tick += delta; tick > maxTicks {
			return fmt.Errorf("found %d ticks; wanted at most %d", tick, int64(maxTicks))
		}
		if b = rest; len(b) == 0 {
			return errCut
		}
		if b[0] >= 0x80 {
			status, b = b[0], b[1:]
		} else if status < noteOff || status >= system {
			return errors.New("found data without a status before it")
		}
		ended := false
		if b, ended, err = s.event(tick, status, b); err != nil || ended {
			return err
		}
	}
	return nil
}

// event reads what follows a status and returns what is left behind it.
func (s *score) event(tick int64, status byte, b []byte) (rest []byte, ended bool, err error) {
	switch kind := status & 0xf0; {
	case status == meta:
		return s.meta(tick, b)
	case status == system || status == systemMore:
		_, rest, err = block(b)
		return rest, false, err
	case kind == system:
		return nil, false, fmt.Errorf("found status %#x, which has no place in a file", status)
	case kind == program || kind == pressure:
		if len(b) < 1 {
			return nil, false, errCut
		}
		return b[1:], false, nil
	default:
		if len(b) < 2 {
			return nil, false, errCut
		}
		if kind == noteOn && b[1]&0x7f > 0 {
			n := Note{Channel: int(status & 0x0f), Key: int(b[0] & 0x7f), Velocity: int(b[1] & 0x7f)}
			s.played = append(s.played, tickNote{tick, n})
		}
		return b[2:], false, nil
	}
}

// meta reads a meta event behind its status.
func (s *score) meta(tick int64, b []byte) (rest []byte, ended bool, err error) {
	if len(b) < 1 {
		return nil, false, errCut
	}
	kind := b[0]
	data, rest, err := block(b[1:])
	if err != nil {
		return nil, false, err
	}
	switch {
	case kind == metaMeter && len(data) >= 2 && data[0] > 0 && data[1] <= 6:
		s.meters = append(s.meters, meter{tick, int(data[0]), int(data[1])})
	case kind == metaTempo && len(data) == tempoLength:
		s.tempos = append(s.tempos, tempo{tick, int64(data[0])<<16 | int64(data[1])<<8 | int64(data[2])})
	}
	return rest, kind == metaEnd, nil
}

// block reads a length and that many bytes.
func block(b []byte) (data, rest []byte, err error) {
	n, rest, err := varLen(b)
	if err != nil {
		return nil, nil, err
	}
	if n > int64(len(rest)) {
		return nil, nil, errCut
	}
	return rest[:n], rest[n:], nil
}

// varLen reads a variable-length quantity of at most four bytes.
func varLen(b []byte) (n int64, rest []byte, err error) {
	for i := range min(4, len(b)) {
		n = n<<7 | int64(b[i]&0x7f)
		if b[i] < 0x80 {
			return n, b[i+1:], nil
		}
	}
	if len(b) < 4 {
		return 0, nil, errCut
	}
	return 0, nil, errors.New("found a length of more than four bytes")
}
