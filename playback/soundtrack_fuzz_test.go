package playback

import (
	"bytes"
	"errors"
	"os"
	"testing"

	"drylane/playback/riff"

	"github.com/jfreymuth/vorbis"
)

// FuzzOpen opens anything, and reads at two places of what opens. It finds no
// ffmpeg: a program started for each input would make few of them.
func FuzzOpen(f *testing.F) {
	f.Setenv("PATH", f.TempDir())
	for _, path := range []string{"testdata/ramp24.flac", "testdata/tone.ogg"} {
		b, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b, uint32(1000))
	}
	f.Add(riffFile("RIFF", 48, fmt16, plain("data", data16)), uint32(2))
	f.Add(riffFile("RF64", 0xFFFFFFFF, ds64(76, 12), fmt16, chunk("data", 0xFFFFFFFF, data16)), uint32(0))
	f.Fuzz(func(t *testing.T, b []byte, at uint32) {
		s, err := openBytes(b)
		if err != nil {
			var e *OpenError
			if !errors.As(err, &e) || e.Name != "test" {
				t.Fatalf("error %v", err)
			}
			return
		}
		if s.Len() <= 0 || s.Rate() < minRate || s.Rate() > maxRate || s.Channels() < 1 || s.Channels() > 2 {
			t.Fatalf("%d frames, %d Hz, %d channels", s.Len(), s.Rate(), s.Channels())
		}
		// A short file may claim a day of silence: look at two places only.
		buf := make([][2]float64, 3000)
		for _, frame := range []int{0, int(at) % (s.Len() + 1)} {
			if err := s.Seek(frame); err != nil {
				t.Fatal(err)
			}
			for range 3 {
				before := s.Position()
				n, ok := s.Stream(buf)
				if s.Position() != before+n || ok != (n > 0) || !ok && s.Err() == nil && before != s.Len() {
					t.Fatalf("%d, %v from %d to %d of %d, %v", n, ok, before, s.Position(), s.Len(), s.Err())
				}
			}
		}
	})
}

func FuzzWAVHeader(f *testing.F) {
	f.Add(riffFile("RIFF", 48, fmt16, plain("data", data16)))
	f.Add(riffFile("RF64", 0xFFFFFFFF, ds64(76, 12), fmt16, chunk("data", 0xFFFFFFFF, data16)))
	f.Add(riffFile("RIFF", 0, plain("fmt ", extensible(riff.PCM, 1, 48000, 24, 20)), plain("LIST", []byte("INFOINAM\x04\x00\x00\x00Rain")), plain("data", data16)))
	f.Fuzz(func(t *testing.T, b []byte) {
		h, err := readWAVHeader(memFile{bytes.NewReader(b)}, 0)
		if err != nil {
			return
		}
		if h.block <= 0 || h.info.Frames < 0 || h.dataAt+int64(h.info.Frames)*int64(h.block) > int64(len(b)) {
			t.Fatalf("%d frames of %d bytes from %d on, in %d bytes", h.info.Frames, h.block, h.dataAt, len(b))
		}
	})
}

// FuzzVorbisSetup tries setup headers behind the pages' checksums.
func FuzzVorbisSetup(f *testing.F) {
	b, err := os.ReadFile("testdata/tone.ogg")
	if err != nil {
		f.Fatal(err)
	}
	s, err := openBytes(b)
	if err != nil {
		f.Fatal(err)
	}
	v := s.decoder.(*vorbisFile)
	pages := oggPages(f, b)
	id := pages[0][28:]
	f.Add(v.setup)
	f.Fuzz(func(t *testing.T, setup []byte) {
		if len(setup) == 0 {
			return
		}
		d := *v
		d.dec = new(vorbis.Decoder)
		if d.useHeaders([][]byte{id, setup}) != nil {
			return
		}
		d.rewind()
		for range 3 {
			if _, _, err := d.nextPage(); err != nil {
				break
			}
		}
	})
}
