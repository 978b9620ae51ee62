package gapless

import (
	"errors"
	"fmt"
	"io"
)

// silent marks an entry that is played as silence: a lost frame, or one whose
// main data is not all there.
const silent = 0xffff

// An entry is one MPEG frame of the stream's time line. It takes 12 bytes.
type entry struct {
	off  uint32 // in the source
	size uint16 // in bytes; 0 for a frame that is not in the source
	data uint16 // bytes of main data that the feed makes of it, or silent
	lead uint16 // how many of those the feed puts into the frame before
}

// An index knows where every MPEG frame of a stream is and which frame of the
// music it holds. After it is built it does not change, so that any number of
// decoders may share it.
type index struct {
	ref     header // of the first frame; every frame follows it
	tag     streamTag
	label   label
	start   int64 // of the stream in the source, tag frame included
	end     int64
	entries []entry
	repairs []repair
	skip    int64 // decoded frames before the first frame of music
	frames  int64 // of music
	missing int64 // frames of music promised by the tag and not there
	extra   int64 // frames behind what the tag promised
	bytes   int64 // of all MPEG frames with sound
	nominal int   // the bit rate of every frame in bit/s, 0 when they differ
	// intensity tells that a frame uses intensity stereo.
	intensity bool
}

// A repair is a damaged place, by entries.
type repair struct {
	off    int64
	first  int
	n      int
	reason string
}

// maxSource is the longest source an entry can point into.
const maxSource = 1<<32 - 1

// The decoder's delay in frames: 528 in the filter bank as the standard gives
// it (LAME Technical FAQ), one more as observed by everyone. By the standard it is
// in every decoder's output. It is taken off together with the encoder's delay, and
// not where that is not on record: there ffmpeg 5.1 and mpg123 1.31 take off
// nothing (measured), and where they begin the players in the field do.
const decoderDelay = 529

// scanBuffer is how much of the source is read at a time to build an index.
const scanBuffer = 256 << 10

// newIndex reads all of rs once. An index is not kept from run to run: it would be
// found by the file's hash, which takes longer than this (0.9 ms/MB beside 0.5).
func newIndex(rs io.ReadSeeker) (*index, error) {
	size, err := rs.Seek(0, io.SeekEnd)
	if err != nil {
		return nil, err
	}
	if size > maxSource {
		return nil, errors.New("the MP3 is longer than 4 GiB")
	}
	return readIndex(newWindow(rs, scanBuffer, scanBuffer/4), size)
}

// readIndex reads the source of w, size bytes long.
func readIndex(w *window, size int64) (*index, error) {
	ix := &index{}
	begin, err := ix.readTags(w, size)
	if err != nil {
		return nil, err
	}
	s := &scan{w: w, end: ix.end, index: ix}
	if err := s.first(begin); err != nil {
		return nil, err
	}
	if err := s.run(); err != nil {
		return nil, err
	}
	if len(s.entries) == 0 {
		return nil, fmt.Errorf("%w besides its tag", errNoFrames)
	}
	s.mend()
	ix.nominal = max(0, s.bitrate)
	ix.measure(s.cut)
	ix.layOut()
	return ix, nil
}

// readTags reads the tags around the stream, sets its end and returns where
// to look for its start.
func (ix *index) readTags(w *window, size int64) (int64, error) {
	begin := int64(0)
	for {
		n, err := tagAt(w, begin, size)
		if err != nil {
			return 0, err
		}
		if n == 0 {
			break
		}
		if err := readLabel(w, begin, n, &ix.label); err != nil {
			return 0, err
		}
		begin += n
	}
	var err error
	if ix.end, err = skipTail(w, begin, size); err != nil || ix.end > size-id3v1Size {
		return begin, err
	}
	b, err := w.at(size-id3v1Size, id3v1Size)
	if err == nil && len(b) == id3v1Size && string(b[:3]) == "TAG" {
		readID3v1(b, &ix.label)
	}
	return begin, err
}

// perFrame is how many frames of sound an MPEG frame holds.
func (ix *index) perFrame() int64 {
	return int64(ix.ref.granules() * granuleSize)
}

// measure finds which decoded frames are the music. cut tells that the end of
// the stream is not there.
func (ix *index) measure(cut bool) {
	total := int64(len(ix.entries)) * ix.perFrame()
	known := ix.delayKnown()
	if known {
		ix.skip = ix.tag.delay + decoderDelay
	}
	ix.frames = max(0, total-ix.skip)
	promised := total
	if ix.tag.frames > 0 {
		promised = ix.tag.frames * ix.perFrame()
	} else if cut {
		return
	}
	ix.extra = max(0, total-promised)
	switch {
	case !known:
		ix.missing = max(0, promised-total)
	case ix.extra == 0: // else the padding is not at the end
		music := max(0, promised-ix.tag.delay-ix.tag.padding)
		if promised == total {
			// The last frames may still be inside the decoder.
			for music > 0 && ix.skip+music > int64(len(ix.entries))*ix.perFrame() {
				ix.entries = append(ix.entries, entry{data: silent})
			}
			ix.frames = music
		}
		ix.frames = min(ix.frames, music)
		ix.missing = music - ix.frames
	}
}

// delayKnown reports whether the encoder's delay is on record, and takes it
// from an iTunSMPB comment if the tag frame has none and the comment agrees
// with the stream.
func (ix *index) delayKnown() bool {
	if ix.tag.hasDelay {
		return true
	}
	delay, padding, music, ok := parseSMPB(ix.label.smpb)
	n := ix.tag.frames
	if n == 0 {
		n = int64(len(ix.entries))
	}
	if ok && n*ix.perFrame()-delay-padding == music {
		ix.tag.hasDelay, ix.tag.delay, ix.tag.padding = true, delay, padding
	}
	return ix.tag.hasDelay
}

// layOut decides how the feed lays the frames' main data out: see feed.
func (ix *index) layOut() {
	room := feedRoom(ix.ref)
	most := ix.ref.maxBegin() // less than the room at every rate
	lead := 0
	for i := len(ix.entries) - 1; i >= 0; i-- {
		e := &ix.entries[i]
		need := 0
		if e.data != silent {
			need = int(e.data)
		}
		lead = min(max(0, need+lead-room), most, need)
		e.lead = uint16(lead)
	}
}

// at returns the entry that holds music frame f, and where in it f lies.
func (ix *index) at(f int64) (entry int, within int64) {
	raw := f + ix.skip
	return int(raw / ix.perFrame()), raw % ix.perFrame()
}
