package playback

import (
	"fmt"

	"drylane/show/timebase"

	"github.com/jfreymuth/vorbis"
)

// A vorbisFile streams the frames of an Ogg Vorbis file, page by page.
//
// The packets are decoded by jfreymuth/vorbis; the Ogg pages are read here.
// beep's Vorbis decoder is not used (measured, v1.1.0): it plays a mono file at
// double speed, taking two frames for one (441,000 of 882,000 came).
// jfreymuth/oggvorbis, below it, ends the music at the first damaged page (after
// 405,184 frames of 882,000, of one damaged page), takes a page
// without a position for position -1, and does not notice a second stream behind
// the first.
//
// A page states which frame it ends with. All placing goes by that, so that
// frames behind a missing page keep their time, and a seek and a straight
// read agree.
type vorbisFile struct {
	info Info
	src  *oggSource
	dec  *vorbis.Decoder
	raw  []float32 // one packet, decoded
	zero int64     // granule position of frame 0

	setup []byte // the packet that the decoder was set up with

	audioAt  int64  // the first page with audio
	audioSeq uint32 // the number of the page before it
	headers  int    // header packets that end on the first page with audio: 0, but in odd files

	frames  [][2]float32   // of the page at or ahead of pos
	start   timebase.Frame // the first of frames
	at      int64          // the next page
	seq     uint32         // the number of the page before
	partial []byte         // what that page holds of an unfinished packet
	pos     int
	err     error
}

func (v *vorbisFile) describe() Info        { return v.info }
func (v *vorbisFile) Err() error            { return v.err }
func (v *vorbisFile) Len() int              { return int(v.info.Frames) }
func (v *vorbisFile) Position() int         { return v.pos }
func (v *vorbisFile) ready() timebase.Frame { return v.start + timebase.Frame(len(v.frames)) }

// Stream reads the next frames; pages that are lost are silence. A lossy
// decoder may go a little past full scale.
func (v *vorbisFile) Stream(samples [][2]float64) (n int, ok bool) {
	for n < len(samples) && v.pos < v.Len() && v.err == nil {
		if timebase.Frame(v.pos) >= v.ready() {
			if err := v.advance(); err != nil {
				v.err = fmt.Errorf("reading the soundtrack: %w", err)
			}
			continue
		}
		room := min(len(samples)-n, v.Len()-v.pos)
		if gap := int(v.start) - v.pos; gap > 0 {
			room = min(room, gap)
			clear(samples[n : n+room])
		} else {
			from := v.frames[-gap:]
			room = min(room, len(from))
			for i, f := range from[:room] {
				samples[n+i] = [2]float64{float64(f[0]), float64(f[1])}
			}
		}
		n += room
		v.pos += room
	}
	return n, n > 0
}

// advance decodes the next page and places its frames.
func (v *vorbisFile) advance() error {
	from := v.ready()
	n, page, err := v.nextPage()
	if err == errNoPage { // nothing more: silence up to the end
		v.frames, v.start = v.frames[:0], max(v.info.Frames, from)
	} else if err != nil {
		return err
	} else {
		end := timebase.Frame(page.granule - v.zero)
		v.start = end - timebase.Frame(n)
		if v.start < from { // the last page is cut at its end, others at their start
			if page.flags&oggLast != 0 {
				v.frames = v.frames[:max(end-from, 0)]
			} else {
				v.frames = v.frames[min(from-v.start, timebase.Frame(n)):]
			}
			v.start = from
		}
	}
	if v.start > from {
		v.info.addDamage(Damage{At: from, Frames: v.start - from, Reason: errNoPage.Error()})
	}
	return nil
}

// vorbisPacketLimit bounds an audio packet; real ones are a few kilobytes.
const vorbisPacketLimit = 1 << 18

// nextPage decodes into frames the packets that end on the next page that
// ends any, and returns how many frames that gave.
func (v *vorbisFile) nextPage() (int, oggPage, error) {
	v.frames = v.frames[:0]
	for {
		p, err := v.src.find(v.at, v.src.end)
		if err != nil {
			return 0, p, err
		}
		if p.seq != v.seq+1 {
			v.dec.Clear() // a hole: the next packet has nothing to overlap with
			v.partial = nil
		}
		v.at, v.seq = p.end, p.seq
		v.partial = v.audioPackets(&p, v.partial, v.decode)
		if v.audioEnds(&p) > 0 && p.granule >= 0 {
			return len(v.frames), p, nil
		}
	}
}

// audioPackets is p.packets for audio alone: it passes over the headers that end
// on the first page.
func (v *vorbisFile) audioPackets(p *oggPage, partial []byte, whole func([]byte)) []byte {
	if p.at != v.audioAt || v.headers == 0 {
		return p.packets(partial, vorbisPacketLimit, whole)
	}
	left := v.headers
	// What earlier pages hold of the first header does not matter, but that
	// it is not lost: packets would pass over it without counting it.
	return p.packets([]byte{}, vorbisPacketLimit, func(b []byte) {
		if left--; left < 0 {
			whole(b)
		}
	})
}

// audioEnds counts the audio packets that end on p.
func (v *vorbisFile) audioEnds(p *oggPage) int {
	if p.at == v.audioAt {
		return p.ends() - v.headers
	}
	return p.ends()
}

// decode appends the frames of a packet. One that cannot be decoded leaves a
// hole.
func (v *vorbisFile) decode(packet []byte) {
	defer func() {
		if recover() != nil {
			v.dec.Clear()
		}
	}()
	if len(packet) == 0 {
		return
	}
	out, err := v.dec.DecodeInto(packet, v.raw)
	if err != nil {
		v.dec.Clear()
		return
	}
	if v.info.Channels == 1 {
		for _, x := range out {
			v.frames = append(v.frames, [2]float32{x, x})
		}
		return
	}
	for i := 0; i+1 < len(out); i += 2 {
		v.frames = append(v.frames, [2]float32{out[i], out[i+1]})
	}
}

// rewind goes to the first page.
func (v *vorbisFile) rewind() {
	v.dec.Clear()
	v.frames, v.start = v.frames[:0], 0
	v.at, v.seq, v.partial = v.audioAt, v.audioSeq, nil
}

// Seek makes frame the next frame, from 0 up to and with Len. It halves the
// file until it has the page; what it costs hardly depends on the length.
func (v *vorbisFile) Seek(frame int) error {
	if frame < 0 || frame > v.Len() {
		return errSeek(frame, v.Len())
	}
	v.pos, v.err = frame, nil
	if len(v.frames) > 0 && timebase.Frame(frame) >= v.start && timebase.Frame(frame) < v.ready() {
		return nil
	}
	lo, hi := v.audioAt, v.src.end
	for hi-lo > 1<<14 {
		mid := lo + (hi-lo)/2
		p, err := v.entry(mid, hi)
		switch {
		case err != nil && err != errNoPage:
			return fmt.Errorf("reading the soundtrack: %w", err)
		case err == errNoPage || timebase.Frame(p.granule-v.zero) > timebase.Frame(frame):
			hi = mid
		default:
			lo = p.at
		}
	}
	v.rewind()
	if lo == v.audioAt {
		return nil
	}
	if err := v.enter(lo); err != nil {
		return fmt.Errorf("reading the soundtrack: %w", err)
	}
	return nil
}

// entry returns the first page in from..to that can be entered at: one
// that holds the whole of the last packet that ends on it.
func (v *vorbisFile) entry(from, to int64) (oggPage, error) {
	for {
		p, err := v.src.find(from, to)
		if err != nil {
			return p, err
		}
		n := p.ends()
		if p.granule >= 0 && (n > 1 || n == 1 && p.flags&oggContinued == 0) {
			return p, nil
		}
		from = p.end
	}
}

// enter primes the decoder with the last packet that ends on the page at
// offset at: each packet overlaps only with the one before it, so from the
// next one on all is as in a straight read.
func (v *vorbisFile) enter(at int64) error {
	p, err := v.src.page(at)
	if err != nil {
		return err
	}
	var last []byte
	v.partial = p.packets(nil, vorbisPacketLimit, func(b []byte) { last = b })
	if last != nil {
		v.decode(last)
	}
	v.frames, v.start = v.frames[:0], timebase.Frame(p.granule-v.zero)
	v.at, v.seq = p.end, p.seq
	return nil
}
