package playback

import (
	"bytes"
	"encoding/binary"
	"io"
)

// mp4BoxLimit bounds what is read of a box: the index of hours of music is a few
// megabytes.
const mp4BoxLimit = 1 << 25

// mp4Box returns what the first box of that name at the top of an MP4 file holds,
// nil where there is none (ISO/IEC 14496-12, 4.2: size and name of four bytes
// each; size 1 for eight more with the size, 0 for up to the end).
func mp4Box(f io.ReadSeeker, name string) []byte {
	var head [16]byte
	for at := int64(0); ; {
		if _, err := f.Seek(at, io.SeekStart); err != nil {
			return nil
		}
		if _, err := io.ReadFull(f, head[:8]); err != nil {
			return nil
		}
		size, taken := int64(binary.BigEndian.Uint32(head[:])), int64(8)
		if size == 1 {
			if _, err := io.ReadFull(f, head[8:]); err != nil {
				return nil
			}
			size, taken = int64(binary.BigEndian.Uint64(head[8:])), 16
		}
		if string(head[4:8]) == name {
			b, _ := io.ReadAll(io.LimitReader(f, min(size-taken, mp4BoxLimit)))
			return b
		}
		if size < taken {
			return nil
		}
		at += size
	}
}

// mp4StatesDelay reports whether an MP4 file says where its music starts: by an
// edit list (ISO/IEC 14496-12, 8.6.6), of which a player starts at media_time, or
// by the tag iTunSMPB.
func mp4StatesDelay(f io.ReadSeeker) bool {
	moov := mp4Box(f, "moov")
	if bytes.Contains(moov, []byte("iTunSMPB")) {
		return true
	}
	for {
		_, list, ok := bytes.Cut(moov, []byte("elst"))
		if !ok {
			return false
		}
		if editStarts(list) {
			return true
		}
		moov = list
	}
}

// editStarts reports whether the first entry of an edit list that plays anything
// starts behind the media's own start.
func editStarts(list []byte) bool {
	if len(list) < 8 {
		return false
	}
	width := 4 // of duration and media_time
	if list[0] == 1 {
		width = 8
	}
	count := binary.BigEndian.Uint32(list[4:])
	for entry := list[8:]; count > 0 && len(entry) >= 2*width+4; count-- {
		time := int64(int32(binary.BigEndian.Uint32(entry[width:])))
		if width == 8 {
			time = int64(binary.BigEndian.Uint64(entry[width:]))
		}
		if time >= 0 { // -1 is a pause
			return time > 0
		}
		entry = entry[2*width+4:]
	}
	return false
}
