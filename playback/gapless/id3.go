package gapless

import (
	"bytes"
	"encoding/binary"
	"strings"
	"unicode/utf16"
)

// A label is what the ID3 tags of a file say.
type label struct {
	title, artist, album string
	smpb                 string // the text of an iTunSMPB comment
}

// maxText is the longest text frame that is read, in bytes. Pictures and other
// long frames are stepped over unread.
const maxText = 4096

// readLabel reads the texts of the ID3v2 tag at off, size bytes long in all,
// into l where l has none yet.
func readLabel(w *window, off, size int64, l *label) error {
	head, err := w.at(off, id3v2HeadSize)
	if err != nil || len(head) < id3v2HeadSize {
		return err
	}
	version, flags := head[3], head[5]
	if version < 2 || version > 4 {
		return nil
	}
	pos, end := off+id3v2HeadSize, off+size
	if flags&0x40 != 0 && version > 2 { // an extended header
		ext, err := w.at(pos, 4)
		if err != nil || len(ext) < 4 {
			return err
		}
		n := int64(binary.BigEndian.Uint32(ext)) + 4
		if version == 4 {
			n, _ = syncsafe(ext)
		}
		pos += n
	}
	for pos < end {
		n, err := readTextFrame(w, pos, end, version, flags&0x80 != 0, l)
		if err != nil || n == 0 {
			return err
		}
		pos += n
	}
	return nil
}

// readTextFrame reads the ID3v2 frame at pos and returns its size, 0 where the
// frames end.
func readTextFrame(w *window, pos, end int64, version byte, unsync bool, l *label) (int64, error) {
	idLen, head := 4, 10
	if version == 2 {
		idLen, head = 3, 6
	}
	b, err := w.at(pos, head)
	if err != nil || len(b) < head || b[0] == 0 {
		return 0, err
	}
	id := string(b[:idLen])
	var n int64
	switch version {
	case 2:
		n = int64(b[3])<<16 | int64(b[4])<<8 | int64(b[5])
	case 3:
		n = int64(binary.BigEndian.Uint32(b[4:]))
	default:
		n, _ = syncsafe(b[4:8])
	}
	if n <= 0 || pos+int64(head)+n > end {
		return 0, nil
	}
	dst := l.field(id)
	if n > maxText || (dst == nil && id != "COMM" && id != "COM") {
		return int64(head) + n, nil
	}
	body, err := w.at(pos+int64(head), int(n))
	if err != nil {
		return 0, err
	}
	if unsync {
		body = bytes.ReplaceAll(body, []byte{0xff, 0}, []byte{0xff})
	}
	if dst != nil {
		if *dst == "" && len(body) > 1 {
			*dst = firstText(body[0], body[1:])
		}
	} else {
		l.comment(body)
	}
	return int64(head) + n, nil
}

// field is where the text of the frame named id goes, nil if it is not kept.
func (l *label) field(id string) *string {
	switch id {
	case "TIT2", "TT2":
		return &l.title
	case "TPE1", "TP1":
		return &l.artist
	case "TALB", "TAL":
		return &l.album
	}
	return nil
}

// comment keeps the text of a comment frame whose description is iTunSMPB.
func (l *label) comment(body []byte) {
	if len(body) < 5 || l.smpb != "" {
		return
	}
	// Encoding, language, description, zero, text.
	parts := strings.SplitN(text(body[0], body[4:]), "\x00", 2)
	if len(parts) == 2 && parts[0] == "iTunSMPB" {
		l.smpb = strings.Trim(parts[1], "\x00\ufeff ")
	}
}

// firstText is the first of the strings in b, in the given ID3v2 encoding.
func firstText(encoding byte, b []byte) string {
	s, _, _ := strings.Cut(strings.TrimLeft(text(encoding, b), "\x00"), "\x00")
	return strings.TrimSpace(s)
}

// text decodes b: 0 is ISO 8859-1, 1 UTF-16 with a byte-order mark, 2 UTF-16
// big-endian, 3 UTF-8 (id3v2.4.0-structure, 4).
func text(encoding byte, b []byte) string {
	switch encoding {
	case 1, 2:
		var order binary.ByteOrder = binary.BigEndian
		if encoding == 1 && bytes.HasPrefix(b, []byte{0xff, 0xfe}) {
			order = binary.LittleEndian
		}
		units := make([]uint16, 0, len(b)/2)
		for ; len(b) >= 2; b = b[2:] {
			if u := order.Uint16(b); u != 0xfeff {
				units = append(units, u)
			}
		}
		return string(utf16.Decode(units))
	case 3:
		return strings.ToValidUTF8(string(b), "\ufffd")
	}
	return latin1(b)
}

func latin1(b []byte) string {
	r := make([]rune, len(b))
	for i, c := range b {
		r[i] = rune(c)
	}
	return string(r)
}

// readID3v1 fills the empty fields of l from the ID3v1 tag in b.
func readID3v1(b []byte, l *label) {
	for _, f := range []struct {
		dst *string
		raw []byte
	}{{&l.title, b[3:33]}, {&l.artist, b[33:63]}, {&l.album, b[63:93]}} {
		if *f.dst == "" {
			*f.dst = firstText(0, f.raw)
		}
	}
}
