package gapless

import (
	"errors"
	"fmt"
	"io"
	"math"

	"github.com/hajimehoshi/go-mp3"
)

// A decoder decodes the entries of an index one after the other, from any
// entry on.
type decoder struct {
	ix   *index
	feed *feed
	mp3  *mp3.Decoder
	in   frameReader
	pcm  []byte         // one MPEG frame: 16-bit stereo, little-endian
	bad  map[int]string // entries that the MP3 decoder refused, and why
}

func newDecoder(ix *index, rs io.ReadSeeker) *decoder {
	return &decoder{
		ix:   ix,
		feed: newFeed(ix, rs),
		pcm:  make([]byte, pcmFrame*ix.perFrame()),
		bad:  map[int]string{},
	}
}

// errRefused is wrapped by decode when the MP3 decoder did not take a frame.
var errRefused = errors.New("refused")

// priming is how many MPEG frames before the one wanted must be decoded. Its
// first sample depends on the filter bank's last 15 steps of 32 samples, all
// within the granule before, and that granule overlaps with the one before it:
// two granules.
func (d *decoder) priming() int { return 2 / d.ix.ref.granules() }

// seek makes entry k the next one to come out of frame.
func (d *decoder) seek(k int) error {
	for {
		err := d.prime(k)
		if !errors.Is(err, errRefused) {
			return err
		}
	}
}

// prime is seek, but for an error that wraps errRefused when one of the frames
// before k has just proved bad.
func (d *decoder) prime(k int) error {
	d.mp3 = nil
	from := max(0, k-d.priming())
	if err := d.feed.seek(from); err != nil {
		return err
	}
	if d.ix.entries[from].lead > 0 {
		b, err := d.feed.leadIn()
		if err != nil {
			return err
		}
		if err := d.decode(b); err != nil {
			return err
		}
	}
	for d.feed.next < k {
		if err := d.step(); err != nil {
			return err
		}
	}
	return nil
}

// frame decodes the next entry into d.pcm. A frame that the MP3 decoder refuses
// is played as silence.
func (d *decoder) frame() error {
	k := d.feed.next
	for {
		err := d.step()
		if !errors.Is(err, errRefused) {
			return err
		}
		if err := d.seek(k); err != nil {
			return err
		}
	}
}

// step decodes the next entry once.
func (d *decoder) step() error {
	k := d.feed.next
	_, mute := d.bad[k]
	b, err := d.feed.frame(mute)
	if err != nil {
		return err
	}
	err = d.decode(b)
	if errors.Is(err, errRefused) {
		if mute {
			return fmt.Errorf("the MP3 decoder takes no silence at byte %d", d.ix.entries[k].off)
		}
		d.bad[k] = "the frame's sound data is damaged"
	}
	return err
}

// decode gives one MPEG frame to the MP3 decoder and reads what comes out.
// That decoder panics on some damaged frames.
func (d *decoder) decode(b []byte) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%w: %v", errRefused, r)
		}
	}()
	d.in = b
	if d.mp3 == nil {
		// NewDecoder decodes the first frame at once.
		if d.mp3, err = mp3.NewDecoder(&d.in); err != nil {
			return fmt.Errorf("%w: %v", errRefused, err)
		}
	}
	if _, err := io.ReadFull(d.mp3, d.pcm); err != nil {
		return fmt.Errorf("%w: %v", errRefused, err)
	}
	return nil
}

// pcmFrame is the size of a frame of what the MP3 decoder gives, in bytes.
const pcmFrame = 4

// convert makes frames of what the MP3 decoder gave, as many as out takes, and
// returns how many there were.
func convert(out [][2]float64, pcm []byte) int {
	n := min(len(out), len(pcm)/pcmFrame)
	for i := range n {
		b := pcm[pcmFrame*i : pcmFrame*i+pcmFrame]
		out[i][0] = sample(b[0], b[1])
		out[i][1] = sample(b[2], b[3])
	}
	return n
}

// sample undoes the decoder's scaling of full scale to 32767.
func sample(lo, hi byte) float64 {
	return float64(int16(uint16(lo)|uint16(hi)<<8)) / math.MaxInt16
}

// A frameReader reads a frame once. It is no io.Seeker, so that the MP3
// decoder does not walk over the stream on its own.
type frameReader []byte

func (r *frameReader) Read(p []byte) (int, error) {
	if len(*r) == 0 {
		return 0, io.EOF
	}
	n := copy(p, *r)
	*r = (*r)[n:]
	return n, nil
}
