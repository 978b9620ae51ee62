package playback

import (
	"bytes"
	"io"
	"unicode/utf8"

	"drylane/playback/riff"
)

// A fileKind says which decoder to try.
type fileKind int

const (
	kindMP3 fileKind = iota // what is left when nothing else fits
	kindWAV
	kindFLAC
	kindOgg
	kindM4A
	kindAAC
)

// sniffSize is enough for the signature of every format that is told apart.
const sniffSize = 512

// strangers are the signatures of files that are mistaken for a soundtrack.
// Each is a public file format; at is the offset of magic.
var strangers = []struct {
	at    int
	magic string
	what  string
}{
	{0, "\x89PNG\r\n", "is a PNG picture"},
	{0, "\xFF\xD8\xFF", "is a JPEG picture"},
	{0, "GIF8", "is a GIF picture"},
	{0, "%PDF", "is a PDF document"},
	{0, "PK\x03\x04", "is a ZIP archive"},
	{0, "\x1F\x8B", "is a gzip archive"},
	{0, "Rar!", "is a RAR archive"},
	{0, "7z\xBC\xAF", "is a 7-Zip archive"},
	{0, "\x1A\x45\xDF\xA3", "is a Matroska or WebM file"},
	{0, "\x30\x26\xB2\x75\x8E\x66\xCF\x11", "is a Windows Media file"},
	{8, "AVI ", "is an AVI video"},
	{0, "FORM", "is an AIFF file"},
	{0, "caff", "is a CAF file"},
	{0, ".snd", "is an AU file"},
	{0, "RIFX", "is a big-endian WAV file"},
	{0, "riff\x2E\x91\xCF\x11", "is a Wave64 file"},
	{0, "MThd", "is a MIDI file, which has notes and no sound"},
	{0, "wvpk", "is a WavPack file"},
	{0, "MAC ", "is a Monkey's Audio file"},
}

// sniff finds out what f is, and where the format's own first byte is: behind
// ID3v2 tags, which some programs put before WAV and FLAC as well.
func sniff(f io.ReadSeeker) (kind fileKind, at int64, err error) {
	for range 16 { // tags in front of tags
		head, err := riff.ReadAt(f, at, sniffSize)
		if err != nil {
			return 0, 0, unreadable(err)
		}
		if len(head) == 0 && at == 0 {
			return 0, 0, refuse("is empty", wantFormat)
		}
		size := id3v2Size(head)
		if size == 0 {
			kind, err := sniffHead(head)
			if kind == kindMP3 && err != nil && at > 0 {
				err = nil // a tag promises an MP3: let its reader explain
			}
			return kind, at, err
		}
		at += size
	}
	return kindMP3, 0, nil
}

func sniffHead(head []byte) (fileKind, error) {
	has := func(at int, magic string) bool {
		return len(head) >= at+len(magic) && string(head[at:at+len(magic)]) == magic
	}
	switch {
	case (has(0, "RIFF") || has(0, "RF64") || has(0, "BW64")) && has(8, "WAVE"):
		return kindWAV, nil
	case has(0, "fLaC"):
		return kindFLAC, nil
	case has(0, "OggS"):
		return kindOgg, nil
	case has(4, "ftyp"):
		return kindM4A, nil
	}
	for _, s := range strangers {
		if has(s.at, s.magic) {
			return 0, refuse(s.what, wantFormat)
		}
	}
	switch {
	case len(head) > 1 && head[0] == 0xFF && head[1]&0xF6 == 0xF0:
		return kindAAC, nil // ADTS: layer bits 00
	case isText(head):
		return 0, refuse("is a text file", wantFormat)
	case len(bytes.Trim(head, "\x00")) == 0 && len(head) < sniffSize:
		return 0, refuse("has nothing in it but zeros", wantFormat)
	}
	return kindMP3, nil
}

// isText reports whether all of head is printable UTF-8, but for a rune cut
// off at the end.
func isText(head []byte) bool {
	for len(head) > 0 {
		r, n := utf8.DecodeRune(head)
		if r == utf8.RuneError && n == 1 && (len(head) >= utf8.UTFMax || utf8.FullRune(head)) {
			return false
		}
		if r < ' ' && r != '\n' && r != '\r' && r != '\t' && r != '\f' {
			return false
		}
		head = head[n:]
	}
	return true
}

// id3v2Size is the size of the ID3v2 tag that head starts with, 0 if none
// (ID3v2.4.0 structure, section 3.1: four 7-bit size bytes; 10 more for a footer).
func id3v2Size(head []byte) int64 {
	if len(head) < 10 || string(head[:3]) != "ID3" || head[3] == 0xFF || head[4] == 0xFF {
		return 0
	}
	size := int64(10)
	for i, b := range head[6:10] {
		if b >= 0x80 {
			return 0
		}
		size += int64(b) << (7 * (3 - i))
	}
	if head[5]&0x10 != 0 {
		size += 10
	}
	return size
}
