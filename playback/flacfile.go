package playback

import (
	"fmt"
	"io"

	"drylane/show/timebase"
)

// A flacFile streams the frames of a FLAC file, block by block.
//
// The blocks are decoded by mewkiz/flac; finding and placing them is done
// here. beep's FLAC decoder is not used (measured, v1.1.0): after a seek it plays
// what was left of the old block and then a block's start instead of the frame
// asked for (7 seeks of 9 gave other sound than a straight read, the two into
// the last block failed), it takes the end of the file for an error, it panics
// at 20 bits, and 200 damaged bytes end the music there. Its seek, mewkiz/flac's
// own, first decodes the whole file where there is no seek table.
type flacFile struct {
	info  Info
	src   *flacSource
	sum   *flacSum
	block flacBlock // the block at or ahead of pos
	pos   int
	err   error
}

// A flacBlock is one decoded FLAC frame, called a block here to keep it apart
// from frames of sound.
type flacBlock struct {
	start   timebase.Frame
	at, end int64 // its bytes in the file
	samples [2][]int32
}

func (b *flacBlock) endFrame() timebase.Frame { return b.start + timebase.Frame(len(b.samples[0])) }

// openFLAC opens the FLAC file that starts at offset at of f.
func openFLAC(f io.ReadSeeker, at int64) (decoder, error) {
	info, src, err := readFLACMeta(f, at)
	if err != nil {
		return nil, err
	}
	stated := info.Frames
	last, err := src.last()
	if err != nil {
		return nil, err
	}
	info.Frames = last.endFrame()
	switch {
	case stated == 0:
		info.Unstated = "the file does not state how long it is: nobody can tell whether something is missing"
	case info.Frames < stated:
		info.Truncated = cutShort(stated, info.Frames, info.Rate)
	}
	d := &flacFile{info: info, src: src, sum: newFLACSum(src.md5)}
	return d, d.Seek(0)
}

func (d *flacFile) describe() Info { return d.info }
func (d *flacFile) Err() error     { return d.err }
func (d *flacFile) Len() int       { return int(d.info.Frames) }
func (d *flacFile) Position() int  { return d.pos }

// Seek makes frame the next frame, from 0 up to and with Len. It halves the
// file until it has the block; what it costs hardly depends on the length.
func (d *flacFile) Seek(frame int) error {
	if frame < 0 || frame > d.Len() {
		return errSeek(frame, d.Len())
	}
	d.pos, d.err, d.src.broken = frame, nil, nil
	if b := &d.block; b.samples[0] != nil && timebase.Frame(frame) >= b.start && timebase.Frame(frame) < b.endFrame() {
		return nil
	}
	b, err := d.src.before(timebase.Frame(frame))
	if err != nil {
		return fmt.Errorf("reading the soundtrack: %w", err)
	}
	if b.start > timebase.Frame(frame) { // the first block there is
		d.info.addDamage(Damage{Frames: b.start, Reason: errNoBlock.Error()})
	}
	d.take(b)
	return nil
}

// take makes b the block at or ahead of pos.
func (d *flacFile) take(b flacBlock) {
	d.block = b
	d.sum.add(&b, d.info.Channels, d.info.Bits)
	if d.info.Truncated == "" { // else it is known that the sums differ, and why
		d.info.Altered = d.sum.verdict(d.info.Frames)
	}
}

// Stream reads the next frames; blocks that are lost are silence.
func (d *flacFile) Stream(samples [][2]float64) (n int, ok bool) {
	for n < len(samples) && d.pos < d.Len() && d.err == nil {
		if timebase.Frame(d.pos) >= d.block.endFrame() {
			d.err = d.advance()
			continue
		}
		room := min(len(samples)-n, d.Len()-d.pos)
		if gap := int(d.block.start) - d.pos; gap > 0 {
			room = min(room, gap)
			clear(samples[n : n+room])
		} else {
			room = d.copyBlock(samples[n:n+room], -gap)
		}
		n += room
		d.pos += room
	}
	return n, n > 0
}

// copyBlock copies from frame skip of the block and returns how many frames
// it had. A k of 16 bits becomes k/32768, and so on, which is exact.
func (d *flacFile) copyBlock(to [][2]float64, skip int) int {
	left, right := d.block.samples[0][skip:], d.block.samples[1][skip:]
	n := min(len(to), len(left))
	scale := 1 / float64(int64(1)<<(d.info.Bits-1))
	for i := range to[:n] {
		to[i] = [2]float64{float64(left[i]) * scale, float64(right[i]) * scale}
	}
	return n
}

// advance goes to the next block that can be decoded. Blocks say which frame
// they start with, so that those behind a damaged one keep their time.
func (d *flacFile) advance() error {
	from, reason := d.block.endFrame(), ""
	b, err := d.src.decode(d.block.end)
	if err != nil && d.src.broken == nil {
		reason = err.Error()
		b, err = d.src.find(d.block.end+1, d.src.end)
	}
	switch {
	case d.src.broken != nil:
		return fmt.Errorf("reading the soundtrack: %w", d.src.broken)
	case err != nil: // nothing more: silence up to the end
		b = flacBlock{start: d.info.Frames, at: d.src.end, end: d.src.end}
	}
	if reason != "" && b.start > from {
		d.info.addDamage(Damage{At: from, Frames: b.start - from, Reason: reason})
	}
	d.take(b)
	return nil
}
