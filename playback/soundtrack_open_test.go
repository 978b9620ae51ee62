package playback

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestOpenRefused(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	for _, tt := range []struct {
		name string
		body string
		want string
	}{
		{"empty.mp3", "", "is empty; an MP3, WAV, FLAC or Ogg Vorbis file is wanted"},
		{"picture.mp3", "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "is a PNG picture; an MP3"},
		{"photo.wav", "\xFF\xD8\xFF\xE0\x00\x10JFIF", "is a JPEG picture"},
		{"notes.mp3", "Cue 12 comes with the \xC2\xABdrums\xC2\xBB.\r\n", "is a text file"},
		{"letters.mp3", strings.Repeat("\u00e9", 400), "is a text file"},
		{"music.m4a", "\x00\x00\x00\x20ftypM4A \x00", "is an MP4 file (M4A, AAC or video)"},
		{"music.aac", "\xFF\xF1\x50\x80\x2E\x7F\xFC\x00", "is an AAC file"},
		{"music.aiff", "FORM\x00\x00\x10\x00AIFFCOMM", "is an AIFF file"},
		{"music.zip", "PK\x03\x04\x14\x00", "is a ZIP archive"},
		{"music.wma", "\x30\x26\xB2\x75\x8E\x66\xCF\x11\xA6\xD9", "is a Windows Media file"},
		{"score.mid", "MThd\x00\x00\x00\x06", "is a MIDI file, which has notes and no sound"},
		{"zeros.mp3", strings.Repeat("\x00", 100), "has nothing in it but zeros"},
		{"many zeros.mp3", strings.Repeat("\x00", 100_000), "is not an MP3 file that can be played, nor WAV, FLAC or Ogg Vorbis"},
		{"rubbish.mp3", "\x01\x02\x03\x04\xFE\xDC\xBA\x98", "is not an MP3 file that can be played"},
		{"tag only.mp3", "ID3\x04\x00\x00\x00\x00\x00\x05abcde", "is not an MP3 file that can be played"},
		{"film.avi", "RIFF\x00\x00\x00\x00AVI LIST", "is an AVI video"},
	} {
		path := filepath.Join(dir, tt.name)
		if err := os.WriteFile(path, []byte(tt.body), 0o644); err != nil {
			t.Fatal(err)
		}
		_, err := OpenFile(path)
		var e *OpenError
		if !errors.As(err, &e) || e.Name != path || !strings.HasPrefix(err.Error(), path+" "+tt.want) {
			t.Errorf("%s: error %v, want %q", tt.name, err, tt.want)
		}
	}
	if _, err := OpenFile(dir); err == nil || !strings.Contains(err.Error(), " is a folder; an MP3") {
		t.Errorf("a folder: %v", err)
	}
	_, err := OpenFile(filepath.Join(dir, "gone.wav"))
	if !errors.Is(err, fs.ErrNotExist) || !strings.HasSuffix(err.Error(), "gone.wav is not there; an MP3, WAV, FLAC or Ogg Vorbis file is wanted") {
		t.Errorf("a missing file: %v", err)
	}
}

// A name says nothing: the content decides.
func TestOpenByContent(t *testing.T) {
	t.Parallel()
	b, err := os.ReadFile("testdata/ramp16.flac")
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "music.mp3")
	if err := os.WriteFile(path, b, 0o644); err != nil {
		t.Fatal(err)
	}
	s := mustOpen(t, path)
	if s.Format() != "FLAC" || s.Info().Title != "Ramp" || s.Info().Artist != "Nobody" {
		t.Errorf("%+v", s.Info())
	}
}

// countedFile counts how often it is closed.
type countedFile struct {
	io.ReadSeeker
	closed *int
}

func (f countedFile) Close() error { *f.closed++; return nil }

func TestOpenClosesOnce(t *testing.T) {
	t.Parallel()
	closed := 0
	if _, err := Open("x", countedFile{strings.NewReader("no music"), &closed}); err == nil || closed != 1 {
		t.Errorf("refused: closed %d times, %v", closed, err)
	}
	f, err := os.Open("testdata/tone.ogg")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	closed = 0
	s, err := Open("x", countedFile{f, &closed})
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}
	if closed != 1 {
		t.Errorf("closed %d times", closed)
	}
}

// brokenFile fails at every read from offset at on.
type brokenFile struct {
	io.ReadSeeker
	at int64
}

var errPulled = errors.New("the stick was pulled")

func (f *brokenFile) Close() error { return nil }

func (f *brokenFile) Read(p []byte) (int, error) {
	at, err := f.Seek(0, io.SeekCurrent)
	if err != nil || at >= f.at {
		return 0, errPulled
	}
	return f.ReadSeeker.Read(p[:min(int64(len(p)), f.at-at)])
}

// A device that fails is told apart from a file that is damaged or has ended.
func TestOpenDeviceFails(t *testing.T) {
	t.Parallel()
	for _, path := range []string{"testdata/ramp16.flac", "testdata/ramp24.flac", "testdata/tone.ogg"} {
		f, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		for _, at := range []int64{0, 2, 40, 900, 1100, 4600} {
			fi, err := f.Stat()
			if err != nil {
				t.Fatal(err)
			}
			if at >= fi.Size() {
				continue
			}
			_, err = Open(path, &brokenFile{f, at})
			if !errors.Is(err, errPulled) || !strings.Contains(err.Error(), "cannot be read: the stick was pulled") {
				t.Errorf("%s, broken at %d: %v", path, at, err)
			}
		}
	}
}

// The same while it plays: the stream breaks off with the error, it does not
// end or fall silent, and a seek after the stick is back in plays on.
func TestStreamDeviceFails(t *testing.T) {
	t.Parallel()
	flac, want := flacBytes(t, 300_000)
	wav, err := os.ReadFile(writeWAV(t, 44100, 2, WAVInt16, want))
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range [][]byte{wav, flac, vorbisBytes(t, 900_000)} {
		f := &brokenFile{bytes.NewReader(b), int64(len(b) + 1)}
		s, err := Open("test", f)
		if err != nil {
			t.Fatal(err)
		}
		f.at = int64(len(b) / 2)
		buf := make([][2]float64, 1000)
		for ok := true; ok; {
			_, ok = s.Stream(buf)
		}
		if !errors.Is(s.Err(), errPulled) || s.Position() >= s.Len() || len(s.Info().Damage) > 0 {
			t.Errorf("%s: %v at frame %d of %d, damage %v", s.Format(), s.Err(), s.Position(), s.Len(), s.Info().Damage)
		}
		f.at = int64(len(b) + 1)
		if err := s.Seek(s.Position()); err != nil {
			t.Errorf("%s: %v", s.Format(), err)
		}
		if at, all := s.Position(), readAll(t, s); len(all) != s.Len()-at {
			t.Errorf("%s: %d frames from %d to %d", s.Format(), len(all), at, s.Len())
		}
	}
}
