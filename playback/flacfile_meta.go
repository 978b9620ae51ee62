package playback

import (
	"bufio"
	"bytes"
	"fmt"
	"io"

	"drylane/playback/riff"
	"drylane/show/timebase"

	"github.com/mewkiz/flac/meta"
)

// flacTagLimit bounds the comment block that is read into memory.
const flacTagLimit = 1 << 20

// readFLACMeta reads the metadata blocks of the FLAC file that starts at
// offset at of f (RFC 9639, section 8). Pictures and the like are skipped
// unread. Info.Frames is what the file states, 0 if it does not.
func readFLACMeta(f io.ReadSeeker, at int64) (Info, *flacSource, error) {
	info := Info{Format: "FLAC"}
	var stream *meta.StreamInfo
	end, err := f.Seek(0, io.SeekEnd)
	if err != nil {
		return info, nil, unreadable(err)
	}
	at += int64(len("fLaC"))
	for last := false; !last; {
		h, err := riff.ReadAt(f, at, 4)
		if err != nil {
			return info, nil, unreadable(err)
		}
		if len(h) < 4 {
			return info, nil, refuse("is a FLAC file cut off within its header", wantWhole)
		}
		last = h[0]&0x80 != 0
		kind, size := meta.Type(h[0]&0x7F), int64(h[1])<<16|int64(h[2])<<8|int64(h[3])
		body, err := flacMetaBody(f, at, kind, size)
		if err != nil {
			return info, nil, unreadable(err)
		}
		switch body := body.(type) {
		case *meta.StreamInfo:
			stream = body
		case *meta.VorbisComment:
			for _, tag := range body.Tags {
				info.setTag(tag[0] + "=" + tag[1])
			}
		}
		at += 4 + size
	}
	src, err := newFLACSource(&info, stream)
	if err != nil {
		return info, nil, err
	}
	src.f, src.start, src.end, src.buf = f, at, end, bufio.NewReaderSize(f, 1<<15)
	return info, src, src.begin()
}

// newFLACSource takes over what the stream info says, and checks it.
func newFLACSource(info *Info, stream *meta.StreamInfo) (*flacSource, error) {
	if stream == nil {
		return nil, refuse("is a FLAC file with a broken header", wantWhole)
	}
	info.Rate, info.Channels = int(stream.SampleRate), int(stream.NChannels)
	info.Bits, info.Frames = int(stream.BitsPerSample), timebase.Frame(stream.NSamples)
	if err := playable(Info{Rate: info.Rate, Channels: info.Channels, Frames: 1}); err != nil {
		return nil, err
	}
	if info.Bits > 24 {
		return nil, refuse(fmt.Sprintf("is a FLAC file of %d bits a sample", info.Bits), "24 bits or fewer is wanted")
	}
	src := &flacSource{at: -1, rate: info.Rate, channels: info.Channels, bits: info.Bits, md5: stream.MD5sum}
	if stream.BlockSizeMin == stream.BlockSizeMax {
		src.unit = timebase.Frame(stream.BlockSizeMax)
	}
	return src, nil
}

// flacMetaBody parses the metadata block at offset at, if it is of a kind that
// is of use. One that cannot be parsed is treated as missing: tags are a
// courtesy, and without stream info the file is refused anyway.
func flacMetaBody(f io.ReadSeeker, at int64, kind meta.Type, size int64) (any, error) {
	if kind != meta.TypeStreamInfo && (kind != meta.TypeVorbisComment || size > flacTagLimit) {
		return nil, nil
	}
	b, err := riff.ReadAt(f, at, 4+size)
	if err != nil {
		return nil, err
	}
	block, err := meta.Parse(bytes.NewReader(b))
	if err != nil {
		return nil, nil
	}
	return block.Body, nil
}
