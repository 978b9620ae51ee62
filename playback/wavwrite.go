package playback

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"math"

	"drylane/playback/riff"
)

// A WAVEncoding is how a WAVWriter stores one sample.
type WAVEncoding int

// The encodings a WAVWriter writes, little-endian.
const (
	WAVInt16   WAVEncoding = iota // 16-bit integers: v = k/32768 is stored exactly
	WAVInt24                      // 24-bit integers: v = k/8388608 is stored exactly
	WAVFloat32                    // 32-bit floats: nothing is clipped
)

// bytes is the size of one sample.
func (e WAVEncoding) bytes() int { return int(e) + 2 }

// A WAVWriter writes a WAVE file. Until Close the header says that the size is
// unknown, so that a file cut off by a crash still opens up to where it ends.
// A file that outgrows the 4 GiB of RIFF becomes RF64 (EBU Tech 3306). A
// WAVWriter belongs to one goroutine.
//
// beep's wav.Encode is not used (measured, v1.1.0): it scales by 32767 and cuts
// off what is left, so that of the 65,536 values k/32768 only 0 is stored as k;
// it returns no error where its stream broke off; and it writes no floats.
type WAVWriter struct {
	ws       io.WriteSeeker
	base     int64 // where in ws the file starts
	buf      *bufio.Writer
	rate     int
	channels int
	enc      WAVEncoding
	frames   int64
	clipped  int64
	limit    int64 // largest RIFF size before RF64; lower in tests
	closed   bool
	err      error
}

// NewWAVWriter starts a WAVE file at the current position of w, with rate
// frames a second and one or two channels. It does not close w.
func NewWAVWriter(w io.WriteSeeker, rate, channels int, enc WAVEncoding) (*WAVWriter, error) {
	switch {
	case rate <= 0:
		return nil, fmt.Errorf("a WAV file cannot have a rate of %d Hz", rate)
	case channels != 1 && channels != 2:
		return nil, fmt.Errorf("a WAV file is written with 1 or 2 channels, not %d", channels)
	case enc < WAVInt16 || enc > WAVFloat32:
		return nil, fmt.Errorf("there is no WAV encoding number %d", int(enc))
	}
	base, err := w.Seek(0, io.SeekCurrent)
	if err != nil {
		return nil, fmt.Errorf("writing a WAV file: %w", err)
	}
	ww := &WAVWriter{ws: w, base: base, buf: bufio.NewWriterSize(w, 1<<16),
		rate: rate, channels: channels, enc: enc, limit: riff.MaxSize}
	if _, err := ww.buf.Write(ww.header(false)); err != nil {
		return nil, fmt.Errorf("writing a WAV file: %w", err)
	}
	return ww, nil
}

// Frames returns how many frames have been written.
func (w *WAVWriter) Frames() int64 { return w.frames }

// Clipped returns how many samples did not fit the encoding: those beyond
// full scale (+1.0 itself, stored as the largest integer, is not counted) and
// those that were not a number, stored as silence.
func (w *WAVWriter) Clipped() int64 { return w.clipped }

// Write appends frames. A file of one channel gets the mean of both, which is
// exact where they are equal. After an error every call returns that error.
func (w *WAVWriter) Write(frames [][2]float64) error {
	if w.closed {
		return fmt.Errorf("writing a WAV file: it is closed already")
	}
	var b [8]byte
	for _, f := range frames {
		if w.err != nil {
			return w.err
		}
		p := b[:0]
		if w.channels == 1 {
			p = w.sample(p, f[0]/2+f[1]/2)
		} else {
			p = w.sample(w.sample(p, f[0]), f[1])
		}
		if _, err := w.buf.Write(p); err != nil {
			w.err = fmt.Errorf("writing a WAV file: %w", err)
			return w.err
		}
		w.frames++
	}
	return nil
}

// sample appends v, encoded.
func (w *WAVWriter) sample(p []byte, v float64) []byte {
	if v != v {
		w.clipped++
		v = 0
	}
	switch w.enc {
	case WAVInt16:
		return binary.LittleEndian.AppendUint16(p, uint16(w.quantise(v, 1<<15)))
	case WAVInt24:
		k := w.quantise(v, 1<<23)
		return append(p, byte(k), byte(k>>8), byte(k>>16))
	default:
		return binary.LittleEndian.AppendUint32(p, math.Float32bits(float32(v)))
	}
}

// quantise returns v*scale to the nearest integer that fits.
func (w *WAVWriter) quantise(v, scale float64) int32 {
	if v < -1 || v > 1 {
		w.clipped++
		v = math.Copysign(1, v)
	}
	return int32(min(math.Round(v*scale), scale-1))
}

// Close completes the file and its header; it leaves the underlying writer
// open. A second call is a no-op that returns the first error again.
func (w *WAVWriter) Close() error {
	if w.closed {
		return w.err
	}
	w.closed = true
	if w.err == nil {
		w.err = w.finish()
	}
	return w.err
}

func (w *WAVWriter) finish() error {
	if w.dataBytes()%2 != 0 {
		w.buf.WriteByte(0) // a failed write comes back from Flush
	}
	if err := w.buf.Flush(); err != nil {
		return fmt.Errorf("writing a WAV file: %w", err)
	}
	if _, err := w.ws.Seek(w.base, io.SeekStart); err != nil {
		return fmt.Errorf("completing the header of a WAV file: %w", err)
	}
	if _, err := w.ws.Write(w.header(true)); err != nil {
		return fmt.Errorf("completing the header of a WAV file: %w", err)
	}
	if _, err := w.ws.Seek(0, io.SeekEnd); err != nil {
		return fmt.Errorf("completing the header of a WAV file: %w", err)
	}
	return nil
}

func (w *WAVWriter) dataBytes() int64 {
	return w.frames * int64(w.channels*w.enc.bytes())
}

// header returns everything before the first frame; its length does not
// depend on known, which says whether the sizes are known yet. A JUNK chunk
// holds the place of the ds64 chunk that RF64 wants first.
func (w *WAVWriter) header(known bool) []byte {
	le := binary.LittleEndian
	format, extra := uint16(riff.PCM), 0
	if w.enc == WAVFloat32 {
		format, extra = riff.Float, 2+12 // an empty extension; a fact chunk
	}
	size := 12 + 36 + 24 + extra + 8
	riffSize := int64(size-8) + w.dataBytes() + w.dataBytes()%2
	riff32, data32, count32 := uint32(riffSize), uint32(w.dataBytes()), uint32(w.frames)
	large := known && riffSize > w.limit
	if large || !known {
		riff32, data32, count32 = riff.UnknownSize, riff.UnknownSize, riff.UnknownSize
	}
	h := make([]byte, 0, size)
	if large {
		h = riff.AppendLargeHead(h, riffSize, w.dataBytes(), w.frames)
	} else {
		h = riff.AppendJunk(riff.AppendHead(h, riff32))
	}
	block := w.channels * w.enc.bytes()
	h = riff.AppendChunkHead(h, "fmt ", uint32(16+min(extra, 2)))
	h = le.AppendUint16(le.AppendUint16(h, format), uint16(w.channels))
	h = le.AppendUint32(le.AppendUint32(h, uint32(w.rate)), uint32(w.rate*block))
	h = le.AppendUint16(le.AppendUint16(h, uint16(block)), uint16(8*w.enc.bytes()))
	if w.enc == WAVFloat32 {
		h = le.AppendUint16(h, 0)
		h = riff.AppendChunk(h, "fact", le.AppendUint32(nil, count32))
	}
	return riff.AppendChunkHead(h, "data", data32)
}
