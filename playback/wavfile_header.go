package playback

import (
	"encoding/binary"
	"fmt"
	"io"

	"drylane/show/timebase"
)

// The format tags of a WAVE fmt chunk that are read and written here.
const (
	wavPCM        = 0x0001
	wavFloat      = 0x0003
	wavExtensible = 0xFFFE
)

// wavForeign names encodings that come in WAV files and are not read.
var wavForeign = map[uint16]string{
	0x0002: "ADPCM", 0x0011: "ADPCM", 0x0006: "A-law", 0x0007: "mu-law",
	0x0031: "GSM", 0x0050: "MPEG", 0x0055: "MP3", 0x2000: "AC-3", 0xF1AC: "FLAC",
}

// wavGUID ends the subformat GUID of an extensible fmt chunk; the two bytes
// before it are the format tag (KSDATAFORMAT_SUBTYPE_PCM and its kin).
const wavGUID = "\x00\x00\x00\x00\x10\x00\x80\x00\x00\xAA\x00\x38\x9B\x71"

// A wavHeader is what the chunks of a WAVE file say.
type wavHeader struct {
	info   Info
	block  int   // bytes a frame
	dataAt int64 // where the frames start

	hasFormat bool
	large     bool // RF64 or BW64
	ds64Data  int64
	riffSize  uint32
}

// readWAVHeader reads the chunks of the WAVE file that starts at offset at of f.
// It follows the RIFF rules (chunks are padded to an even size) and EBU Tech
// 3306 for files above 4 GiB. It allocates by what is there, never by what a
// size field says.
func readWAVHeader(f io.ReadSeeker, at int64) (*wavHeader, error) {
	end, err := f.Seek(0, io.SeekEnd)
	if err != nil {
		return nil, unreadable(err)
	}
	head, err := readAt(f, at, 12)
	if err != nil {
		return nil, unreadable(err)
	}
	if len(head) < 12 {
		return nil, refuse("is a WAV file cut off within its header", wantWhole)
	}
	h := &wavHeader{large: string(head[:4]) != "RIFF", riffSize: binary.LittleEndian.Uint32(head[4:])}
	h.info.Format = "WAV"
	for at += 12; ; {
		c, err := readAt(f, at, 8)
		if err != nil {
			return nil, unreadable(err)
		}
		if len(c) < 8 {
			return nil, refuse("is a WAV file without any sound data", wantWhole)
		}
		id, size := string(c[:4]), int64(binary.LittleEndian.Uint32(c[4:]))
		if id == "data" {
			return h, h.setData(f, at+8, size, end)
		}
		if err := h.chunk(f, id, at+8, size); err != nil {
			return nil, err
		}
		at += 8 + size + size%2
	}
}

// wavChunkLimit bounds what is read of any one chunk before the data.
const wavChunkLimit = 1 << 16

func (h *wavHeader) chunk(f io.ReadSeeker, id string, at, size int64) error {
	if id != "fmt " && id != "ds64" && id != "LIST" {
		return nil
	}
	b, err := readAt(f, at, int(min(size, wavChunkLimit)))
	if err != nil {
		return unreadable(err)
	}
	switch id {
	case "fmt ":
		return h.setFormat(b)
	case "ds64":
		if h.large && len(b) >= 24 {
			h.ds64Data = int64(binary.LittleEndian.Uint64(b[8:]))
		}
	case "LIST":
		h.setList(b)
	}
	return nil
}

// setFormat takes the fmt chunk.
func (h *wavHeader) setFormat(b []byte) error {
	le := binary.LittleEndian
	if len(b) < 16 {
		return refuse("is a WAV file with a broken format chunk", wantWhole)
	}
	tag := le.Uint16(b)
	if tag == wavExtensible && len(b) >= 40 && string(b[26:40]) == wavGUID {
		tag = le.Uint16(b[24:])
	}
	i := &h.info
	i.Channels, i.Rate = int(le.Uint16(b[2:])), int(le.Uint32(b[4:]))
	h.block, i.Bits = int(le.Uint16(b[12:])), int(le.Uint16(b[14:]))
	i.Float = tag == wavFloat
	if tag != wavPCM && tag != wavFloat {
		name := wavForeign[tag]
		if name == "" {
			name = fmt.Sprintf("encoding 0x%04X", tag)
		}
		return refuse("holds "+name+" inside a WAV file", "plain WAV (integers or floats) is wanted")
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

// Sizes that mean "not known", as programs write them that stream a WAV file
// and cannot go back to its header: all ones, or (sox) just under 2^31.
const (
	wavSizeUnknown = 0xFFFFFFFF
	wavSizeHuge    = 0x7FFF0000
)

// setData takes the data chunk that starts at offset at of a file of end bytes.
func (h *wavHeader) setData(f io.ReadSeeker, at, size, end int64) error {
	if !h.hasFormat {
		return refuse("is a WAV file without a format chunk before its sound data", wantWhole)
	}
	there := end - at
	if h.large && size == wavSizeUnknown {
		size = h.ds64Data
	}
	i := &h.info
	h.dataAt = at
	streamed := size == wavSizeUnknown || size < 0 ||
		size > there && size >= wavSizeHuge && size <= 0x7FFFFFFF ||
		size == 0 && there > 0 && (h.riffSize == 0 || h.riffSize == wavSizeUnknown)
	switch {
	case streamed:
		i.Unstated = "the file does not state how long it is: it is read to its end, and nobody can tell whether something is missing"
		size = there
	case size > there:
		i.Truncated = cutShort(timebase.Frame(size/int64(h.block)), timebase.Frame(there/int64(h.block)), i.Rate)
		size = there
	default:
		h.readTail(f, at+size+size%2)
	}
	i.Frames = timebase.Frame(size / int64(h.block))
	if i.Truncated != "" && i.Frames == 0 {
		return refuse("is a WAV file cut off before its first sound", wantWhole)
	}
	return nil
}

// readTail looks for tags behind the data. They are a courtesy: a broken tail
// takes nothing from the music.
func (h *wavHeader) readTail(f io.ReadSeeker, at int64) {
	for range 16 {
		c, err := readAt(f, at, 8)
		if err != nil || len(c) < 8 {
			return
		}
		size := int64(binary.LittleEndian.Uint32(c[4:]))
		if string(c[:4]) == "LIST" {
			if b, err := readAt(f, at+8, int(min(size, wavChunkLimit))); err == nil {
				h.setList(b)
			}
		}
		at += 8 + size + size%2
	}
}

// setList takes title and artist from a LIST chunk of type INFO.
func (h *wavHeader) setList(b []byte) {
	if len(b) < 4 || string(b[:4]) != "INFO" {
		return
	}
	for b = b[4:]; len(b) >= 8; {
		id, size := string(b[:4]), int64(binary.LittleEndian.Uint32(b[4:]))
		b = b[8:]
		text := string(b[:min(size, int64(len(b)))])
		switch {
		case id == "INAM" && h.info.Title == "":
			h.info.Title = tagText(text)
		case id == "IART" && h.info.Artist == "":
			h.info.Artist = tagText(text)
		}
		b = b[min(size+size%2, int64(len(b))):]
	}
}
