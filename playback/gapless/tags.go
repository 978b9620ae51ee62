package gapless

import (
	"bytes"
	"strconv"
)

// Sizes in bytes of the parts of tags.
const (
	id3v1Size      = 128
	id3v1PlusSize  = 227 // the "TAG+" block that may stand before an ID3v1 tag
	id3v2HeadSize  = 10  // and of the footer
	apeHeadSize    = 32  // and of the footer
	lyricsTailSize = 15  // "nnnnnnLYRICS200"
	lyricsMax      = 5100
)

// skipHead returns where the tags that begin at off end: any count of ID3v2
// and APEv2 tags. A tag that says it is longer than the file is no tag.
func skipHead(w *window, off, end int64) (int64, error) {
	for {
		n, err := tagAt(w, off, end)
		if err != nil || n == 0 {
			return off, err
		}
		off += n
	}
}

// tagAt returns the size of the tag that begins at off, 0 if there is none.
func tagAt(w *window, off, end int64) (int64, error) {
	b, err := w.at(off, apeHeadSize)
	if err != nil {
		return 0, err
	}
	n := max(id3v2Len(b, "ID3"), apeLen(b, true))
	if off+n > end {
		return 0, nil
	}
	return n, nil
}

// id3v2Len is the whole size of the ID3v2 tag whose header (or footer, with
// the id "3DI") is at the start of b, 0 if that is none (id3v2.4.0-structure,
// 3.1 and 3.4).
func id3v2Len(b []byte, id string) int64 {
	if len(b) < id3v2HeadSize || string(b[:3]) != id || b[3] == 0xff || b[4] == 0xff {
		return 0
	}
	size, ok := syncsafe(b[6:10])
	if !ok {
		return 0
	}
	n := size + id3v2HeadSize
	if b[5]&0x10 != 0 { // a footer repeats the header
		n += id3v2HeadSize
	}
	return n
}

// syncsafe reads four bytes of seven bits each, highest first.
func syncsafe(b []byte) (int64, bool) {
	var v int64
	for _, c := range b[:4] {
		if c > 0x7f {
			return 0, false
		}
		v = v<<7 | int64(c)
	}
	return v, true
}

// apeLen is the whole size of the APE tag whose header, or whose footer, is at
// the start of b, 0 if that is none.
func apeLen(b []byte, head bool) int64 {
	if len(b) < apeHeadSize || string(b[:8]) != "APETAGEX" {
		return 0
	}
	le := func(b []byte) int64 {
		return int64(b[0]) | int64(b[1])<<8 | int64(b[2])<<16 | int64(b[3])<<24
	}
	// The stated size takes in the items and the footer. The highest flag says
	// that there is a header too, bit 29 that this is the header.
	size, flags := le(b[12:]), le(b[20:])
	if isHead := flags>>29&1 == 1; isHead != head {
		return 0
	}
	if flags>>31&1 == 1 {
		size += apeHeadSize
	}
	return size
}

// skipTail returns where the sound ends: before any mix of ID3v1, APEv2,
// Lyrics3 and appended ID3v2 tags that end at end. Nothing before start is
// taken for a tag.
func skipTail(w *window, start, end int64) (int64, error) {
	for {
		n, err := tailAt(w, start, end)
		if err != nil || n == 0 || end-n < start {
			return end, err
		}
		end -= n
	}
}

// tailAt returns the size of the tag that ends at end, 0 if there is none.
func tailAt(w *window, start, end int64) (int64, error) {
	from := max(start, end-id3v1Size)
	tail, err := w.at(from, int(end-from))
	if err != nil {
		return 0, err
	}
	last := func(n int) []byte { return tail[max(0, len(tail)-n):] }
	if b := last(id3v1Size); len(b) == id3v1Size && string(b[:3]) == "TAG" {
		return id3v1WithPlus(w, end)
	}
	if n := id3v2Len(last(id3v2HeadSize), "3DI"); n > 0 {
		return n, nil
	}
	if n := apeLen(last(apeHeadSize), false); n > 0 {
		return n, nil
	}
	return lyricsLen(w, last(lyricsTailSize), start, end)
}

// id3v1WithPlus is the size of the ID3v1 tag that ends at end, with the "TAG+"
// block before it if there is one.
func id3v1WithPlus(w *window, end int64) (int64, error) {
	b, err := w.at(max(0, end-id3v1Size-id3v1PlusSize), 4)
	if err == nil && string(b) == "TAG+" {
		return id3v1Size + id3v1PlusSize, nil
	}
	return id3v1Size, err
}

// lyricsLen is the size of the Lyrics3 block that ends at end with tail.
// Version 2 states its size; version 1 is at most 5100 bytes long and is
// searched for its beginning.
func lyricsLen(w *window, tail []byte, start, end int64) (int64, error) {
	switch {
	case len(tail) < lyricsTailSize:
		return 0, nil
	case string(tail[6:]) == "LYRICS200":
		n, err := strconv.ParseUint(string(tail[:6]), 10, 32)
		if err != nil {
			return 0, nil
		}
		return int64(n) + lyricsTailSize, nil
	case string(tail[6:]) == "LYRICSEND":
		from := max(start, end-lyricsMax-20)
		b, err := w.at(from, int(end-from))
		if i := bytes.LastIndex(b, []byte("LYRICSBEGIN")); i >= 0 {
			return end - from - int64(i), err
		}
		return 0, err
	}
	return 0, nil
}
