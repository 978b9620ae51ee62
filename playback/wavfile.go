package playback

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
)

// A wavFile streams the frames of a WAVE file.
//
// beep's WAV decoder is not used (measured, v1.1.0): it counts bytes in 32 bits,
// so that a file of 2.7 GB has a length below 0; it divides 16-bit samples by
// 65535, which halves the level; it allocates what a chunk's size field says, 1
// GiB for a file of 20 bytes; where reads return 7 bytes it finds 571 frames of
// 1,000; a file cut short never ends; and it reads neither floats nor 32 bits.
type wavFile struct {
	h      *wavHeader
	f      io.ReadSeeker
	buf    *bufio.Reader
	pos    int
	err    error
	raw    []byte
	size   int                  // bytes a sample
	sample func([]byte) float64 // reads one
}

func openWAV(f io.ReadSeeker, at int64) (decoder, error) {
	h, err := readWAVHeader(f, at)
	if err != nil {
		return nil, err
	}
	w := &wavFile{h: h, f: f, buf: bufio.NewReaderSize(f, 1<<16), raw: make([]byte, 512*h.block)}
	w.size = h.block / h.info.Channels
	w.sample = wavSample(w.size, h.info.Float)
	if err := w.Seek(0); err != nil {
		return nil, unreadable(err)
	}
	return w, nil
}

func (w *wavFile) describe() Info { return w.h.info }
func (w *wavFile) Err() error     { return w.err }
func (w *wavFile) Len() int       { return int(w.h.info.Frames) }
func (w *wavFile) Position() int  { return w.pos }

// Seek makes frame the next frame, from 0 up to and with Len.
func (w *wavFile) Seek(frame int) error {
	if frame < 0 || frame > w.Len() {
		return errSeek(frame, w.Len())
	}
	if _, err := w.f.Seek(w.h.dataAt+int64(frame)*int64(w.h.block), io.SeekStart); err != nil {
		return fmt.Errorf("reading the soundtrack: %w", err)
	}
	w.buf.Reset(w.f)
	w.pos, w.err = frame, nil
	return nil
}

// errSeek is the error for a seek outside 0..length.
func errSeek(frame, length int) error {
	return fmt.Errorf("frame %d is outside the soundtrack of %d frames", frame, length)
}

// Stream reads the next frames. A file that has become shorter since it was
// opened is an error, not an end.
func (w *wavFile) Stream(samples [][2]float64) (n int, ok bool) {
	if w.err != nil {
		return 0, false
	}
	for n < len(samples) && w.pos < w.Len() {
		want := min(len(samples)-n, w.Len()-w.pos, len(w.raw)/w.h.block)
		got, err := io.ReadFull(w.buf, w.raw[:want*w.h.block])
		frames := got / w.h.block
		w.convert(samples[n:n+frames], w.raw)
		n += frames
		w.pos += frames
		if err != nil {
			if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
				err = errors.New("the file has become shorter while it was open")
			}
			w.err = fmt.Errorf("reading the soundtrack: %w", err)
			break
		}
	}
	return n, n > 0
}

// convert turns raw bytes into frames. A 16-bit k becomes k/32768, and so on,
// which is exact; the bytes of one sample are its size, padding at the low end.
func (w *wavFile) convert(to [][2]float64, raw []byte) {
	if w.size == 2 && w.h.info.Channels == 2 {
		stereo16(to, raw)
		return
	}
	for i := range to {
		left := w.sample(raw)
		right := left
		if w.h.info.Channels == 2 {
			right = w.sample(raw[w.size:])
		}
		to[i] = [2]float64{left, right}
		raw = raw[w.h.block:]
	}
}

// stereo16 is convert for what most files hold, in a third of the time.
func stereo16(to [][2]float64, raw []byte) {
	for i := range to {
		both := binary.LittleEndian.Uint32(raw[4*i:])
		to[i] = [2]float64{float64(int16(both)) / (1 << 15), float64(int16(both>>16)) / (1 << 15)}
	}
}

// wavSample returns the function that reads one sample of the given size.
func wavSample(size int, float bool) func([]byte) float64 {
	le := binary.LittleEndian
	switch {
	case float && size == 4:
		return func(b []byte) float64 { return finite(float64(math.Float32frombits(le.Uint32(b)))) }
	case float:
		return func(b []byte) float64 { return finite(math.Float64frombits(le.Uint64(b))) }
	case size == 1: // the one size that is stored unsigned
		return func(b []byte) float64 { return float64(int(b[0])-1<<7) / (1 << 7) }
	case size == 2:
		return func(b []byte) float64 { return float64(int16(le.Uint16(b))) / (1 << 15) }
	case size == 3:
		return func(b []byte) float64 {
			return float64(int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24)>>8) / (1 << 23)
		}
	default:
		return func(b []byte) float64 { return float64(int32(le.Uint32(b))) / (1 << 31) }
	}
}

// finite returns v, or silence where v is not a number that can be heard.
func finite(v float64) float64 {
	if v != v || math.IsInf(v, 0) {
		return 0
	}
	return v
}
