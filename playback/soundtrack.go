package playback

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"sync"

	"drylane/playback/internal/plainfile"
	"drylane/show/timebase"

	"github.com/faiface/beep"
)

// The rates and the length that a soundtrack may have. The longest is far longer
// than any display; it keeps a wrong header from passing for music.
const (
	minRate  = 22050
	maxRate  = 96000
	maxHours = 24
)

// A decoder reads one format. Its frames are bit-exact after any seek.
type decoder interface {
	beep.StreamSeeker
	describe() Info
}

// A Soundtrack is an opened sound file: a stream whose frame 0 is the first
// frame of the encoded master. It reads as it plays and never holds the whole
// file in memory. It belongs to one goroutine; open the file a second time to
// read it in another.
//
// Stretches that are damaged play as silence, so that all after them keeps its
// time; Info lists them.
type Soundtrack struct {
	decoder
	opened Info // as it was when opened
	file   io.ReadSeeker
	close  func() error
}

// OpenFile opens the file at path as Open does.
func OpenFile(path string) (*Soundtrack, error) {
	f, err := OpenBytes(path)
	if err != nil {
		return nil, err
	}
	return Open(path, f)
}

// OpenBytes opens the file at path, to hash it or to hand it to Open. Errors are of
// type *OpenError.
func OpenBytes(path string) (io.ReadSeekCloser, error) {
	f, err := plainfile.Open(path)
	switch {
	case errors.Is(err, plainfile.ErrOther):
		return nil, &OpenError{Name: path, Found: "is no ordinary file", Want: wantFormat, Err: err}
	case errors.Is(err, fs.ErrNotExist):
		return nil, &OpenError{Name: path, Found: "is not there", Want: wantFormat, Err: err}
	case err != nil:
		return nil, &OpenError{Name: path, Found: "cannot be opened", Err: err}
	}
	return f, nil
}

// Open reads the headers of f and finds out by its content, not by its name,
// what it is: an MP3, WAV, FLAC or Ogg Vorbis file, or M4A or AAC where the program
// ffmpeg is installed, of one or two channels at 22.05 to 96 kHz. name is for messages. Open takes over f: it is closed by
// Close, or when Open fails. Errors are of type *OpenError.
func Open(name string, f interface {
	io.ReadSeeker
	io.Closer
}) (*Soundtrack, error) {
	d, err := openDecoder(f)
	if err != nil {
		f.Close()
		return nil, named(name, err)
	}
	s := &Soundtrack{decoder: d, opened: d.describe(), file: f, close: sync.OnceValue(func() error { return closeBoth(d, f) })}
	if err := playable(s.opened); err != nil {
		s.Close()
		return nil, named(name, err)
	}
	return s, nil
}

// closeBoth closes a decoder that holds something of its own, and the file.
func closeBoth(d decoder, f io.Closer) error {
	if c, ok := d.(io.Closer); ok {
		return errors.Join(c.Close(), f.Close())
	}
	return f.Close()
}

func openDecoder(f io.ReadSeeker) (decoder, error) {
	if s, ok := f.(interface{ Stat() (fs.FileInfo, error) }); ok {
		if fi, err := s.Stat(); err == nil && fi.IsDir() {
			return nil, refuse("is a folder", wantFormat)
		}
	}
	kind, at, err := sniff(f)
	if err != nil {
		return nil, err
	}
	switch kind {
	case kindWAV:
		return openWAV(f, at)
	case kindFLAC:
		return openFLAC(f, at)
	case kindOgg:
		d, err := openVorbis(f)
		if err == errFloor0 {
			return openThrough(f, foreignFloor0)
		}
		return d, err
	case kindM4A:
		return openThrough(f, foreignM4A)
	case kindAAC:
		return openThrough(f, foreignAAC)
	default:
		return openMP3(f)
	}
}

// playable checks what every format has to fulfil.
func playable(i Info) error {
	switch {
	case i.Channels < 1 || i.Channels > 2:
		return refuse(fmt.Sprintf("has %d channels", i.Channels), wantChannels)
	case i.Rate < minRate || i.Rate > maxRate:
		return refuse(fmt.Sprintf("runs at %d Hz", i.Rate), WantRate)
	case i.Frames <= 0:
		return refuse("has no music in it", "a soundtrack with sound in it is wanted")
	case i.Frames/timebase.Frame(i.Rate) >= maxHours*3600:
		return refuse(fmt.Sprintf("says it lasts %d hours", i.Frames/timebase.Frame(i.Rate)/3600), fmt.Sprintf("less than %d hours is wanted", maxHours))
	}
	return nil
}

// Stream implements beep.Streamer.
func (s *Soundtrack) Stream(samples [][2]float64) (n int, ok bool) {
	n, ok = s.decoder.Stream(samples)
	decoded.Add(int64(n))
	return n, ok
}

// Info describes the file. The list of damage grows as the file is read.
func (s *Soundtrack) Info() Info { return s.describe() }

// Format names the format, as Info does.
func (s *Soundtrack) Format() string { return s.opened.Format }

// Rate is the sample rate in frames a second.
func (s *Soundtrack) Rate() int { return s.opened.Rate }

// Channels is how many channels the file has, 1 or 2. A mono file is streamed
// on both.
func (s *Soundtrack) Channels() int { return s.opened.Channels }

// Close closes the file. Further calls return what the first one did.
func (s *Soundtrack) Close() error { return s.close() }
