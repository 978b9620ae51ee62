package playback

import (
	"bytes"
	"encoding/binary"
	"errors"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"drylane/testdata/reftest"

	"github.com/adrg/xdg"
)

// encoded is music, encoded by ffmpeg under a name that says as what.
func encoded(t *testing.T, frames [][2]float64, name string, args ...string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	in := writeWAV(t, 44100, 2, WAVInt16, frames)
	run(t, "ffmpeg", slices.Concat([]string{"-v", "error", "-i", in, "-c:a", "aac", "-b:a", "192k"}, args, []string{path})...)
	return path
}

// What ffmpeg decodes is what is played, to the bit; and with an edit list, which
// ffmpeg writes into an M4A, its first frame is the master's.
func TestM4A(t *testing.T) {
	t.Parallel()
	master := music(60_000)
	path := encoded(t, master, "a.m4a", "-metadata", "title=Rain")
	s := mustOpen(t, path)
	if i := s.Info(); i.Format != "M4A" || i.Through != "ffmpeg" || i.Rate != 44100 || i.Channels != 2 || i.StartUncertain != 0 || i.Odd != "" || i.Title != "Rain" {
		t.Errorf("%+v", i)
	}
	got := readAll(t, s)
	raw := ffmpegRaw(t, path, "f32le")
	if len(raw) != 8*len(got) || len(got) < len(master) {
		t.Fatalf("%d frames, ffmpeg has %d, the master %d", len(got), len(raw)/8, len(master))
	}
	for i, f := range got {
		for c := range 2 {
			if want := math.Float32frombits(binary.LittleEndian.Uint32(raw[8*i+4*c:])); f[c] != float64(want) {
				t.Fatalf("frame %d is %v, ffmpeg has %v", i, f, want)
			}
		}
	}
	if lag := bestLag(got, master); lag != 0 {
		t.Errorf("the music is %d frames late", lag)
	}
	checkSeeks(t, path, got)
}

// Without a container nothing says where the music starts: ffmpeg's encoder puts
// 1024 frames before it.
func TestAACStartUncertain(t *testing.T) {
	t.Parallel()
	master := music(60_000)
	s := mustOpen(t, encoded(t, master, "a.aac"))
	if i := s.Info(); i.Format != "AAC" || i.StartUncertain != 2112 {
		t.Errorf("%+v", i)
	}
	if lag := bestLag(readAll(t, s)[1024:], master); lag != 0 {
		t.Errorf("the music is %d frames late", 1024+lag)
	}
}

// A fragmented file has no edit list to go by.
func TestM4AWithoutEditList(t *testing.T) {
	t.Parallel()
	s := mustOpen(t, encoded(t, music(60_000), "a.m4a", "-use_editlist", "0"))
	if got := s.Info().StartUncertain; got != 2112 {
		t.Errorf("uncertain by %d frames", got)
	}
}

// Boxes may claim any size, and lists any count.
func FuzzMP4StatesDelay(f *testing.F) {
	list := "\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00\x10\x00\x00\x00\x04\x00\x00\x01\x00\x00"
	f.Add([]byte("\x00\x00\x00\x10ftypM4A \x00\x00\x00\x00\x00\x00\x00\x24moov\x00\x00\x00\x1Celst" + list))
	f.Add([]byte("\x00\x00\x00\x01moov\xFF\xFF\xFF\xFF\xFF\xFF\xFF\xFFiTunSMPB"))
	f.Fuzz(func(t *testing.T, b []byte) {
		if mp4StatesDelay(bytes.NewReader(b)) && !bytes.Contains(b, []byte("moov")) {
			t.Error("a delay out of nothing")
		}
	})
}

// Several readers share what ffmpeg made, each at its own place, and the last one
// gives it back.
func TestThroughShared(t *testing.T) {
	defer func(dir string) { xdg.CacheHome = dir }(xdg.CacheHome)
	xdg.CacheHome = t.TempDir()
	path := encoded(t, music(30_000), "a.m4a")
	a, b := mustOpen(t, path), mustOpen(t, path)
	want := readAll(t, a)
	if err := b.Seek(1000); err != nil {
		t.Fatal(err)
	}
	for range 2 { // twice is as once
		if err := a.Close(); err != nil {
			t.Error(err)
		}
	}
	if got := readAll(t, b); !slices.Equal(got, want[1000:]) {
		t.Error("what one reader closed, the other lost")
	}
	if err := b.Close(); err != nil {
		t.Error(err)
	}
	other := mustOpen(t, encoded(t, music(20_000), "b.m4a"))
	if err := other.Close(); err != nil {
		t.Error(err)
	}
	left, _ := filepath.Glob(filepath.Join(conversionDir(), "*"))
	if len(converted.list) != 1 || len(left) > 0 {
		t.Errorf("%d kept, and %q on the disk", len(converted.list), left)
	}
}

// Without ffmpeg, and with a file that it cannot decode, the way out is named.
func TestThroughRefused(t *testing.T) {
	good, err := os.ReadFile(encoded(t, music(5000), "a.m4a"))
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for name, b := range map[string][]byte{"good.m4a": good, "bad.m4a": good[:40]} {
		if err := os.WriteFile(filepath.Join(dir, name), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	reftest.Tool(t, "ffmpeg")
	if _, err := OpenFile(filepath.Join(dir, "bad.m4a")); err == nil || !strings.Contains(err.Error(), "bad.m4a is an MP4 file (M4A, AAC or video) that ffmpeg cannot decode: ") {
		t.Errorf("a broken file: %v", err)
	}
	t.Setenv("PATH", dir)
	_, err = OpenFile(filepath.Join(dir, "good.m4a"))
	if err == nil || !strings.HasSuffix(err.Error(), "good.m4a is an MP4 file (M4A, AAC or video), and the program ffmpeg, which would decode it, is not installed; export it as WAV or FLAC, or install ffmpeg") {
		t.Errorf("without ffmpeg: %v", err)
	}
}

// TestThroughSaysWhy: of a program that fails the first line that it said is told, or how
// it ended where it said nothing.
func TestThroughSaysWhy(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a script of the shell")
	}
	t.Setenv("TMPDIR", t.TempDir())
	for said, want := range map[string]string{"": "exit status 3", "echo no sound >&2; echo more >&2": "no sound"} {
		program := filepath.Join(t.TempDir(), "program")
		if err := os.WriteFile(program, []byte("#!/bin/sh\n"+said+"\nexit 3\n"), 0o755); err != nil {
			t.Fatal(err)
		}
		_, err := convert(program, "in", foreignAAC)
		var failed *conversionError
		if !errors.As(err, &failed) || failed.said != want {
			t.Errorf("%q: %v, want %q", said, err, want)
		}
	}
}

// TestEditStarts: the first entry of an edit list that plays anything says where it starts;
// one of -1 is a pause (ISO/IEC 14496-12, 8.6.6).
func TestEditStarts(t *testing.T) {
	t.Parallel()
	be := binary.BigEndian
	list := func(version byte, starts ...int64) []byte {
		b := append([]byte{version, 0, 0, 0}, be.AppendUint32(nil, uint32(len(starts)))...)
		for _, at := range starts {
			if version == 1 {
				b = be.AppendUint64(be.AppendUint64(b, 5), uint64(at))
			} else {
				b = be.AppendUint32(be.AppendUint32(b, 5), uint32(at))
			}
			b = append(b, 0, 1, 0, 0) // its rate
		}
		return b
	}
	for name, c := range map[string]struct {
		list []byte
		want bool
	}{
		"from the start":             {list(0, 0), false},
		"behind the start":           {list(0, 1024), true},
		"a pause, then behind":       {list(0, -1, 1024), true},
		"a pause, then the start":    {list(0, -1, 0, 1024), false},
		"a pause, then behind, long": {list(1, -1, 1024), true},
		"long, from the start":       {list(1, -1, -1, 0), false},
		"a pause alone":              {list(0, -1), false},
		"cut short":                  {list(0, -1, 1024)[:30], false},
		"nothing":                    {nil, false},
	} {
		if got := editStarts(c.list); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}
