package playback

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"
)

// The sum of "abc" is the worked example of FIPS 180-4 (SHA-256).
func TestHashFile(t *testing.T) {
	t.Parallel()
	var last int64
	got, err := HashFile(t.Context(), strings.NewReader("abc"), func(done int64) { last = done })
	if want := "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"; got != want || err != nil || last != 3 {
		t.Errorf("%s after %d bytes, %v", got, last, err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := HashFile(ctx, strings.NewReader("abc"), nil); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
	broken := iotest.ErrReader(errors.New("the stick was pulled"))
	if _, err := HashFile(t.Context(), broken, nil); err == nil || !strings.Contains(err.Error(), "stick") {
		t.Errorf("broken: %v", err)
	}
}

// hashAudio hashes a file and checks the progress it tells of.
func hashAudio(t testing.TB, path string) string {
	t.Helper()
	var last, end int64
	got, err := HashAudio(t.Context(), mustOpen(t, path), func(done, total int64) {
		if done < last || done > total || end != 0 && total != end {
			t.Errorf("%s: %d of %d after %d of %d", path, done, total, last, end)
		}
		last, end = done, total
	})
	if err != nil || last != end || last == 0 || len(got) != 64 {
		t.Errorf("%s: %q, %d of %d, %v", path, got, last, end, err)
	}
	return got
}

// What is the same music hashes alike, and what is not does not.
func TestHashAudioLossless(t *testing.T) {
	t.Parallel()
	master := music(60_000)
	wav := writeWAV(t, 44100, 2, WAVInt16, master)
	want := hashAudio(t, wav)
	flac := filepath.Join(t.TempDir(), "a.flac")
	run(t, "flac", "-s", "-T", "TITLE=Rain", "-o", flac, wav)
	for name, path := range map[string]string{
		"24 bits": writeWAV(t, 44100, 2, WAVInt24, master),
		"floats":  writeWAV(t, 44100, 2, WAVFloat32, master),
		"FLAC":    flac,
	} {
		if got := hashAudio(t, path); got != want {
			t.Errorf("%s hashes otherwise", name)
		}
	}
	changed := append([][2]float64(nil), master...)
	changed[59_999][1] += 1. / (1 << 23)
	for name, path := range map[string]string{
		"one bit of 24": writeWAV(t, 44100, 2, WAVInt24, changed),
		"another rate":  writeWAV(t, 48000, 2, WAVInt16, master),
		"a frame less":  writeWAV(t, 44100, 2, WAVInt16, master[:59_999]),
		"mono":          writeWAV(t, 44100, 1, WAVInt16, master),
	} {
		if hashAudio(t, path) == want {
			t.Errorf("%s hashes alike", name)
		}
	}
	same := make([][2]float64, len(master))
	for i := range same {
		same[i] = [2]float64{master[i][0], master[i][0]}
	}
	if hashAudio(t, writeWAV(t, 44100, 1, WAVInt16, same)) != hashAudio(t, writeWAV(t, 44100, 2, WAVInt16, same)) {
		t.Error("mono and two equal channels hash otherwise")
	}
}

// Tags come and go, the music hashes as before. The tags are changed by the
// Vorbis authors' tagger, which lays out the pages anew, and by hand for MP3.
func TestHashAudioLossy(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	name := func(s string) string { return filepath.Join(dir, s) }
	wav := writeWAV(t, 44100, 2, WAVInt16, music(60_000))
	run(t, "oggenc", "-Q", "-o", name("a.ogg"), wav)
	run(t, "vorbiscomment", "-w", "-t", "TITLE="+strings.Repeat("Rain ", 3000), name("a.ogg"), name("b.ogg"))
	run(t, "oggenc", "-Q", "-q4", "-o", name("c.ogg"), wav)
	run(t, "lame", "--quiet", wav, name("a.mp3"))
	mp3, err := os.ReadFile(name("a.mp3"))
	if err != nil {
		t.Fatal(err)
	}
	id3 := append([]byte("ID3\x04\x00\x00\x00\x00\x02\x01"), make([]byte, 257)...)
	if err := os.WriteFile(name("b.mp3"), append(id3, append(mp3, append([]byte("TAG"), make([]byte, 125)...)...)...), 0o644); err != nil {
		t.Fatal(err)
	}
	run(t, "lame", "--quiet", "-b", "192", wav, name("c.mp3"))
	for _, ext := range []string{".ogg", ".mp3"} {
		a, b, c := hashAudio(t, name("a"+ext)), hashAudio(t, name("b"+ext)), hashAudio(t, name("c"+ext))
		if a != b {
			t.Errorf("%s: new tags, new hash", ext)
		}
		if a == c {
			t.Errorf("%s: another encoding, the same hash", ext)
		}
	}
	if title := mustOpen(t, name("b.ogg")).Info().Title; !strings.HasPrefix(title, "Rain Rain") || len(title) > 200 {
		t.Errorf("title %q", title)
	}
}

func TestHashAudioCancelled(t *testing.T) {
	t.Parallel()
	for _, path := range []string{"testdata/ramp16.flac", "testdata/tone.ogg"} {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		if _, err := HashAudio(ctx, mustOpen(t, path), nil); !errors.Is(err, context.Canceled) {
			t.Errorf("%s: %v", path, err)
		}
	}
}

// The committed samples keep their hashes: sessions store them. The values come
// from a script of a few lines in another language, over `flac -d` and the
// packets of the Ogg file.
func TestHashAudioStays(t *testing.T) {
	t.Parallel()
	for path, want := range map[string]string{
		"testdata/ramp16.flac": "4badb45cf213c3ee269670e1cf0aec6b6269db25400ac72aeb3f6e8883697f84",
		"testdata/tone.ogg":    "2bb1297183fc59b1e4f5a39d01965d691b71aee046a5e98cc642155f65dc6da3",
	} {
		if got := hashAudio(t, path); got != want {
			t.Errorf("%s: %s, want %s", path, got, want)
		}
	}
}

// An error while reading is an error of the hash.
func TestHashAudioBroken(t *testing.T) {
	t.Parallel()
	path := writeWAV(t, 48000, 2, WAVInt16, music(100_000))
	s := mustOpen(t, path)
	if err := os.Truncate(path, 1000); err != nil {
		t.Fatal(err)
	}
	if _, err := HashAudio(t.Context(), s, nil); err == nil || !strings.Contains(err.Error(), "shorter") {
		t.Errorf("error %v", err)
	}
}
