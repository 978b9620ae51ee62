package playback

import (
	"errors"
	"fmt"
	"io"

	"drylane/playback/riff"
	"drylane/show/timebase"
)

// wavForeign names encodings that come in WAV files and are not read.
var wavForeign = map[uint16]string{
	0x0002: "ADPCM", 0x0011: "ADPCM", 0x0006: "A-law", 0x0007: "mu-law",
	0x0031: "GSM", 0x0050: "MPEG", 0x0055: "MP3", 0x2000: "AC-3", 0xF1AC: "FLAC",
}

// A wavHeader is what the chunks of a WAVE file say.
type wavHeader struct {
	info   Info
	block  int   // bytes a frame
	dataAt int64 // where the frames start

	hasFormat bool
	riffSize  uint32
}

// readWAVHeader reads the chunks of the WAVE file that starts at offset at of f,
// up to its sound and some behind it.
func readWAVHeader(f io.ReadSeeker, at int64) (*wavHeader, error) {
	chunks, err := riff.Walk(f, at)
	switch {
	case errors.Is(err, riff.ErrCut), errors.Is(err, riff.ErrNotWAVE):
		return nil, refuse("is "+err.Error(), wantWhole)
	case err != nil:
		return nil, unreadable(err)
	}
	h := &wavHeader{riffSize: chunks.Size}
	h.info.Format = "WAV"
	for {
		c, err := chunks.Next()
		switch {
		case err == io.EOF:
			return nil, refuse("is a WAV file without any sound data", wantWhole)
		case err != nil:
			return nil, unreadable(err)
		case c.ID == "data":
			return h, h.setData(chunks, c)
		}
		if err := h.chunk(chunks, c); err != nil {
			return nil, err
		}
	}
}

// wavChunkLimit bounds what is read of any one chunk before the data.
const wavChunkLimit = 1 << 16

func (h *wavHeader) chunk(chunks *riff.Walker, c riff.Chunk) error {
	if c.ID != "fmt " && c.ID != "LIST" {
		return nil
	}
	b, err := chunks.Read(c, wavChunkLimit)
	if err != nil {
		return unreadable(err)
	}
	if c.ID == "fmt " {
		return h.setFormat(b)
	}
	h.setList(b)
	return nil
}

// setFormat takes the fmt chunk.
func (h *wavHeader) setFormat(b []byte) error {
	f, ok := riff.ParseFormat(b)
	if !ok {
		return refuse("is a WAV file with a broken format chunk", wantWhole)
	}
	i := &h.info
	i.Channels, i.Rate, i.Bits, i.Float = f.Channels, f.Rate, f.Bits, f.Tag == riff.Float
	h.block = f.Block
	if f.Tag != riff.PCM && f.Tag != riff.Float {
		name := wavForeign[f.Tag]
		if name == "" {
			name = fmt.Sprintf("encoding 0x%04X", f.Tag)
		}
		return refuse("has "+name+" inside a WAV file", "plain WAV (integers or floats) is wanted")
	}
	if err := playable(Info{Channels: i.Channels, Rate: i.Rate, Frames: 1}); err != nil {
		return err
	}
	// An integer of 12 or 20 bits, say, sits in the upper end of whole bytes.
	if i.Float && i.Bits != 32 && i.Bits != 64 || i.Bits < 1 || i.Bits > 32 && !i.Float {
		return refuse(fmt.Sprintf("is a WAV file of %d bits a sample", i.Bits), "8, 16, 24 or 32 bits is wanted")
	}
	if h.block != i.Channels*((i.Bits+7)/8) {
		return refuse(fmt.Sprintf("is a WAV file that packs %d channels of %d bits into %d bytes", i.Channels, i.Bits, h.block), "a plain WAV file is wanted")
	}
	h.hasFormat = true
	return nil
}

// wavSizeHuge is, like all ones, a size that means "not known", as sox writes it
// when it streams a WAV file and cannot go back to its header: just under 2^31.
const wavSizeHuge = 0x7FFF0000

// setData takes the data chunk.
func (h *wavHeader) setData(chunks *riff.Walker, c riff.Chunk) error {
	if !h.hasFormat {
		return refuse("is a WAV file without a format chunk before its sound data", wantWhole)
	}
	size, there := c.Stated, chunks.Left(c)
	i := &h.info
	h.dataAt = c.At
	streamed := size == riff.UnknownSize || size < 0 ||
		size > there && size >= wavSizeHuge && size <= 0x7FFFFFFF ||
		size == 0 && there > 0 && (h.riffSize == 0 || h.riffSize == riff.UnknownSize)
	switch {
	case streamed:
		i.Unstated = "the file does not state how long it is: it is read to its end, and nobody can tell whether something is missing"
		size = there
	case size > there:
		i.Truncated = cutShort(timebase.Frame(size/int64(h.block)), timebase.Frame(there/int64(h.block)), i.Rate)
		size = there
	default:
		h.readTail(chunks)
	}
	i.Frames = timebase.Frame(size / int64(h.block))
	if i.Truncated != "" && i.Frames == 0 {
		return refuse("is a WAV file cut off before its first sound", wantWhole)
	}
	return nil
}

// readTail looks for tags behind the data. They are a courtesy: a broken tail
// takes nothing from the music.
func (h *wavHeader) readTail(chunks *riff.Walker) {
	for range 16 {
		c, err := chunks.Next()
		if err != nil {
			return
		}
		if c.ID != "LIST" {
			continue
		}
		if b, err := chunks.Read(c, wavChunkLimit); err == nil {
			h.setList(b)
		}
	}
}

// setList takes title and artist from a LIST chunk of type INFO.
func (h *wavHeader) setList(b []byte) {
	if len(b) < 4 || string(b[:4]) != "INFO" {
		return
	}
	for id, text := range riff.Within(b[4:]) {
		switch {
		case id == "INAM" && h.info.Title == "":
			h.info.Title = tagText(string(text))
		case id == "IART" && h.info.Artist == "":
			h.info.Artist = tagText(string(text))
		}
	}
}
