package playback

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"strings"

	"drylane/show/timebase"

	"github.com/jfreymuth/vorbis"
)

// vorbisHeaderLimit bounds the three header packets; a picture in the
// comments that is larger than this is passed over with them.
const vorbisHeaderLimit = 1 << 20

// openVorbis opens an Ogg file that holds one Vorbis stream.
func openVorbis(f io.ReadSeeker) (decoder, error) {
	src, err := newOggSource(f)
	if err != nil {
		return nil, unreadable(err)
	}
	v := &vorbisFile{src: src, dec: new(vorbis.Decoder)}
	v.info.Format = "Ogg Vorbis"
	if err := v.readHeaders(); err != nil {
		return nil, err
	}
	if err := v.checkSingle(); err != nil {
		return nil, err
	}
	if err := v.findEnds(); err != nil {
		return nil, err
	}
	v.rewind()
	return v, nil
}

const wantVorbis = "an Ogg Vorbis file with one stream is wanted, or FLAC, WAV or MP3"

var errVorbisHeader = refuse("is an Ogg Vorbis file with a broken header", wantWhole)

// oggStrangers are the first bytes of the streams that come in Ogg files.
var oggStrangers = []struct{ magic, what string }{
	{"OpusHead", "Opus"}, {"\x7FFLAC", "FLAC"}, {"Speex", "Speex"}, {"\x80theora", "video"}, {"fishead", "several streams"},
}

// readHeaders reads the first three packets (Vorbis I, section 4.2): identity,
// comments, setup. The first audio packet should start a page of its own (A.2),
// but there are files in which it follows on the page where the headers end.
func (v *vorbisFile) readHeaders() error {
	first, err := v.src.page(0)
	if err == errNoPage {
		return errVorbisHeader
	} else if err != nil {
		return unreadable(err)
	}
	v.src.serial = first.serial
	var packets [][]byte
	keep := func(b []byte) { packets = append(packets, bytes.Clone(b)) }
	partial := first.packets(nil, vorbisHeaderLimit, keep)
	if len(packets) != 1 {
		return errVorbisHeader
	}
	for _, s := range oggStrangers {
		if strings.HasPrefix(string(packets[0]), s.magic) {
			return refuse("is an Ogg file with "+s.what, wantVorbis)
		}
	}
	at, seen := first.end, 1
	for seen < 3 {
		p, err := v.src.page(at)
		if err == errNoPage {
			return errVorbisHeader
		} else if err != nil {
			return unreadable(err)
		}
		if p.flags&oggFirst != 0 || p.serial != v.src.serial {
			return refuse("is an Ogg file with several streams", wantVorbis)
		}
		partial = p.packets(partial, vorbisHeaderLimit, keep)
		v.audioAt, v.audioSeq = p.end, p.seq
		if seen += p.ends(); seen > 3 || seen == 3 && p.lacing[len(p.lacing)-1] == 255 {
			v.audioAt, v.audioSeq, v.headers = p.at, p.seq-1, 3-(seen-p.ends())
		}
		at, v.seq = p.end, p.seq
	}
	return v.useHeaders(packets[:min(3, len(packets))])
}

// useHeaders hands the headers to the decoder. The comments are read here:
// jfreymuth/vorbis allocates as many as they claim to be.
func (v *vorbisFile) useHeaders(packets [][]byte) (err error) {
	defer func() {
		if recover() != nil {
			err = errVorbisHeader
		}
	}()
	id, setup := packets[0], packets[len(packets)-1] // comments that are too large are not there
	if len(id) < 30 || id[0] != 1 || !vorbis.IsHeader(id) || id[28]&15 > id[28]>>4 || id[28]&15 < 6 || id[28]>>4 > 13 {
		return errVorbisHeader
	}
	v.info.Channels, v.info.Rate = int(id[11]), int(binary.LittleEndian.Uint32(id[12:]))
	if err := playable(Info{Channels: v.info.Channels, Rate: v.info.Rate, Frames: 1}); err != nil {
		return err
	}
	if len(packets) == 3 && vorbis.IsHeader(packets[1]) {
		v.readComments(packets[1][7:])
	}
	if setup[0] != 5 || !vorbis.IsHeader(setup) {
		return errVorbisHeader
	}
	mended, err := mendVorbisSetup(setup[7:])
	if err != nil {
		return err
	}
	if v.dec.ReadHeader(id) != nil || v.dec.ReadHeader(append(bytes.Clone(setup[:7]), mended...)) != nil {
		return errVorbisHeader
	}
	v.setup = setup
	v.raw = make([]float32, v.dec.BufferSize())
	return nil
}

// readComments takes the tags out of a comment header, as far as it is sound.
func (v *vorbisFile) readComments(b []byte) {
	text := func() (s []byte, ok bool) {
		if len(b) < 4 {
			return nil, false
		}
		n := uint64(binary.LittleEndian.Uint32(b))
		if n > uint64(len(b)-4) {
			return nil, false
		}
		s, b = b[4:4+n], b[4+n:]
		return s, true
	}
	if _, ok := text(); !ok || len(b) < 4 { // the encoder's name
		return
	}
	count := binary.LittleEndian.Uint32(b)
	b = b[4:]
	for range count {
		s, ok := text()
		if !ok {
			return
		}
		v.info.setTag(string(s))
	}
}

// errPieces is a file of several streams one after another.
var errPieces = refuse("is an Ogg file of several pieces one after another", wantVorbis)

// checkSingle refuses a file of several streams one after another, of which only
// the first would be heard. Their serial numbers differ, or their page numbers
// start again. It goes over the heads of all pages: a short piece shows nowhere
// else.
func (v *vorbisFile) checkSingle() error {
	seq := v.audioSeq
	for at := v.audioAt; at < v.src.end; {
		p, err := v.src.head(at)
		if err == nil && p.serial == v.src.serial && p.flags&oggFirst == 0 && p.seq >= seq {
			at, seq = p.end, p.seq
			continue
		}
		if err == nil {
			if _, err = v.src.page(at); err == nil {
				return errPieces
			}
		}
		if err == errNoPage { // damaged here: the decoder deals with it
			at, err = v.src.capture(at+1, v.src.end)
		}
		if err != nil {
			return unreadable(err)
		}
	}
	return nil
}

// findEnds settles frame 0 and the length from the granule positions of the
// first and the last page.
func (v *vorbisFile) findEnds() error {
	last, err := v.lastPage()
	if err != nil {
		return err
	}
	v.rewind()
	frames, page, err := v.nextPage()
	if err == errNoPage {
		return refuse("is an Ogg Vorbis file without any sound", wantWhole)
	} else if err != nil {
		return unreadable(err)
	}
	// A stream cut out of a longer one starts late. One whose first page
	// holds more than its position says starts with frames to be dropped,
	// unless it is the last page too: then the end is cut (Vorbis I, A.2).
	v.zero = max(page.granule-int64(frames), 0)
	v.info.Frames = timebase.Frame(last.granule - v.zero)
	if v.headers > 0 {
		v.info.Odd = v.oddStart(page)
	}
	if last.flags&oggLast == 0 {
		v.info.Truncated = fmt.Sprintf("the file has no end mark: it is cut off after %s", timebase.Clock(v.info.Duration()))
	}
	return nil
}

// oddStart says what comes of audio on the page of the headers, first being the
// first page on which audio ends. Measured: libvorbisfile, and with it oggdec and
// sox, leaves out all that is on that page. Where that is but the packet that the
// next one overlaps with, oggdec 1.4.2 plays by the page's position as it is
// played here, ffmpeg 5.1 up to a block more.
func (v *vorbisFile) oddStart(first oggPage) string {
	const odd = "its sound starts on the page of its headers, which the format forbids: "
	if left := timebase.Frame(first.granule - v.zero); first.at == v.audioAt && left > 0 {
		return fmt.Sprintf(odd+"some players leave out %d ms of its start, or more", left.At(v.info.Rate).Milliseconds())
	}
	return odd + "players may differ by some milliseconds in where it starts"
}

// lastPage returns the last page that states a position.
func (v *vorbisFile) lastPage() (oggPage, error) {
	var last oggPage
	for span, hi := int64(1<<17), v.src.end; hi > v.audioAt; span *= 2 {
		lo := max(hi-span, v.audioAt)
		for at := lo; ; {
			p, err := v.src.find(at, hi)
			if err == errNoPage {
				break
			} else if err != nil {
				return last, unreadable(err)
			}
			if p.flags&oggFirst != 0 {
				return last, errPieces
			}
			if at = p.end; p.granule >= 0 && p.ends() > 0 {
				last = p
			}
		}
		if last.end > 0 {
			return last, nil
		}
		hi = lo
	}
	return last, refuse("is an Ogg Vorbis file without any sound", wantWhole)
}
