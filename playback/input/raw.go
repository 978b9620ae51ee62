package input

import (
	"encoding/binary"
	"errors"
	"io"
	"math"
)

// rawFrame is how many bytes a raw frame has: two 32-bit floats, least significant
// byte first.
const rawFrame = 8

// raw reads raw frames.
type raw struct {
	in    io.Reader
	bytes []byte
	have  int // bytes of a frame that is not whole yet, at the start of bytes
	close func() error
}

// Raw returns a stream of raw frames: left and right, 32-bit floats, least significant
// byte first, and nothing else. What is no number, or beyond any sound, is silence. A
// last frame that is not whole is left out.
func Raw(in io.Reader, close func() error) Stream {
	return &raw{in: in, bytes: make([]byte, 1024*rawFrame), close: close}
}

// Next takes what one read of the pipe gives, so that live sound does not wait for
// more of it.
func (r *raw) Next(frames [][2]float64) (int, error) {
	room := min(len(frames)*rawFrame, len(r.bytes))
	for r.have < rawFrame {
		n, err := r.in.Read(r.bytes[r.have:room])
		r.have += n
		if err != nil && r.have < rawFrame {
			return 0, ended(err)
		}
	}
	whole := r.have / rawFrame
	for i := range whole {
		for side := range 2 {
			bits := binary.LittleEndian.Uint32(r.bytes[i*rawFrame+4*side:])
			frames[i][side] = sane(float64(math.Float32frombits(bits)))
		}
	}
	r.have = copy(r.bytes, r.bytes[whole*rawFrame:r.have])
	return whole, nil
}

// loudest is beyond any sound.
const loudest = 1e6

func sane(x float64) float64 {
	if x > -loudest && x < loudest {
		return x
	}
	return 0
}

// ended is io.EOF for every end of a pipe.
func ended(err error) error {
	if errors.Is(err, io.ErrUnexpectedEOF) {
		return io.EOF
	}
	return err
}

func (r *raw) Close() error { return r.close() }
