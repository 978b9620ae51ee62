package playback

import (
	"errors"
	"io"

	"drylane/show/timebase"
)

// A throughFile is a file that ffmpeg has decoded: formats that no decoder in Go
// was found for, and that are met as soundtracks all the same. What is played is
// the WAV file that came of it, so that it is bit-exact after any seek.
type throughFile struct {
	decoder // of the WAV file
	info    Info
	close   func() error
}

func (t throughFile) describe() Info { return t.info }
func (t throughFile) Close() error   { return t.close() }

// A foreign is a format that ffmpeg decodes for us.
type foreign struct {
	name    string // as Info.Format
	what    string // as the rest of a sentence
	demuxer string // ffmpeg's name for it: so that nothing else is tried on the file
}

var (
	foreignM4A    = foreign{"M4A", "is an MP4 file (M4A, AAC or video)", "mov"}
	foreignAAC    = foreign{"AAC", "is an AAC file", "aac"}
	foreignFloor0 = foreign{"Ogg Vorbis", "is an Ogg Vorbis file as they were written until 2001", "ogg"}
)

// wantDecoded is the way out for those without ffmpeg.
const wantDecoded = "export it as WAV or FLAC, or install ffmpeg"

// aacDelay is the longest delay in common use of an AAC encoder, in frames: 2112;
// others have 1024 or 1600 (common practice, no source).
const aacDelay = 2112

// openThrough opens a file by way of ffmpeg.
func openThrough(f io.ReadSeeker, kind foreign) (decoder, error) {
	c, err := converted.take(f, kind)
	var wrong *conversionError
	switch {
	case errors.Is(err, errNoFFmpeg):
		return nil, refuse(kind.what+", and the program ffmpeg, which would decode it, is not installed", wantDecoded)
	case errors.As(err, &wrong):
		return nil, &OpenError{Found: kind.what + " that ffmpeg cannot decode", Err: err}
	case err != nil:
		return nil, unreadable(err)
	}
	release := func() error { return converted.release(c) }
	d, err := openWAV(c.reader(), 0)
	if err != nil {
		release()
		return nil, err
	}
	w := d.describe()
	i := Info{Format: kind.name, Through: "ffmpeg", Rate: w.Rate, Channels: w.Channels, Frames: w.Frames, Title: w.Title, Artist: w.Artist, Odd: c.complaint}
	if kind == foreignAAC || kind == foreignM4A && !mp4StatesDelay(f) {
		i.StartUncertain = timebase.Frame(aacDelay)
	}
	return throughFile{decoder: d, info: i, close: release}, nil
}
