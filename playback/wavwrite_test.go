package playback

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"drylane/testdata/reftest"
)

// ramp16 has every 16-bit value once on the left and backwards on the right.
func ramp16() [][2]float64 {
	f := make([][2]float64, 1<<16)
	for i := range f {
		f[i] = [2]float64{float64(i-1<<15) / (1 << 15), float64(1<<15-1-i) / (1 << 15)}
	}
	return f
}

// writeWAV makes a WAV file of frames and returns its path.
func writeWAV(t testing.TB, rate, channels int, enc WAVEncoding, frames [][2]float64) string {
	t.Helper()
	f, err := os.Create(filepath.Join(t.TempDir(), "made.wav"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	w, err := NewWAVWriter(f, rate, channels, enc)
	if err != nil {
		t.Fatal(err)
	}
	if err := w.Write(frames); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return f.Name()
}

// ffmpegRaw decodes a file with ffmpeg into raw samples of the given format.
func ffmpegRaw(t testing.TB, path, format string) []byte {
	t.Helper()
	cmd := exec.Command(reftest.Tool(t, "ffmpeg"), "-v", "error", "-i", path, "-f", format, "-")
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil || errs.Len() > 0 {
		t.Fatalf("ffmpeg: %v %s", err, errs.String())
	}
	return out.Bytes()
}

// The reference is ffmpeg's WAV demuxer.
func TestWAVWriterAgainstFFmpeg(t *testing.T) {
	t.Parallel()
	ramp := ramp16()
	got := ffmpegRaw(t, writeWAV(t, 48000, 2, WAVInt16, ramp), "s16le")
	if len(got) != 4*len(ramp) {
		t.Fatalf("ffmpeg read %d bytes, want %d", len(got), 4*len(ramp))
	}
	for i := range ramp {
		l, r := int16(binary.LittleEndian.Uint16(got[4*i:])), int16(binary.LittleEndian.Uint16(got[4*i+2:]))
		if int(l) != i-1<<15 || int(r) != 1<<15-1-i {
			t.Fatalf("frame %d = %d, %d", i, l, r)
		}
	}
	// 24 bits: three odd mono frames need the pad byte. ffmpeg widens to 32.
	mono := [][2]float64{{1.0 / (1 << 23), 1.0 / (1 << 23)}, {-1, -1}, {0.5, 0}}
	got = ffmpegRaw(t, writeWAV(t, 44100, 1, WAVInt24, mono), "s32le")
	want := []int32{1 << 8, math.MinInt32, 1 << 29}
	for i, w := range want {
		if v := int32(binary.LittleEndian.Uint32(got[4*i:])); v != w || len(got) != 12 {
			t.Errorf("24-bit frame %d = %d of %d bytes, want %d", i, v, len(got), w)
		}
	}
	loud := [][2]float64{{1.5, -2.25}, {0.1, -0.1}}
	got = ffmpegRaw(t, writeWAV(t, 96000, 2, WAVFloat32, loud), "f32le")
	for i := range loud {
		for c := range 2 {
			v := math.Float32frombits(binary.LittleEndian.Uint32(got[8*i+4*c:]))
			if v != float32(loud[i][c]) {
				t.Errorf("float frame %d channel %d = %v, want %v", i, c, v, loud[i][c])
			}
		}
	}
}

// A file past the RIFF limit must be RF64; the limit is lowered so that the
// file stays small. The reference is ffmpeg's reading of ds64.
func TestWAVWriterRF64(t *testing.T) {
	t.Parallel()
	for _, enc := range []WAVEncoding{WAVInt16, WAVInt24, WAVFloat32} {
		f, err := os.Create(filepath.Join(t.TempDir(), "large.wav"))
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		w, err := NewWAVWriter(f, 48000, 1, enc)
		if err != nil {
			t.Fatal(err)
		}
		w.limit = 100
		if err := w.Write(make([][2]float64, 1001)); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		b, err := os.ReadFile(f.Name())
		if err != nil {
			t.Fatal(err)
		}
		if string(b[:4]) != "RF64" || string(b[12:16]) != "ds64" {
			t.Errorf("starts %q, first chunk %q", b[:4], b[12:16])
		}
		if riff := binary.LittleEndian.Uint64(b[20:]); riff != uint64(len(b)-8) {
			t.Errorf("ds64 states %d bytes, the file has %d", riff, len(b)-8)
		}
		if got := ffmpegRaw(t, f.Name(), "s16le"); len(got) != 2*1001 {
			t.Errorf("encoding %d: ffmpeg read %d frames, want 1001", enc, len(got)/2)
		}
	}
}

func TestWAVWriterClips(t *testing.T) {
	t.Parallel()
	f, err := os.Create(filepath.Join(t.TempDir(), "loud.wav"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	w, err := NewWAVWriter(f, 48000, 2, WAVInt16)
	if err != nil {
		t.Fatal(err)
	}
	err = w.Write([][2]float64{{1, -1}, {1.01, -1.01}, {math.NaN(), math.Inf(1)}, {0.99999, 0}})
	if err != nil {
		t.Fatal(err)
	}
	if w.Clipped() != 4 || w.Frames() != 4 {
		t.Errorf("clipped %d in %d frames, want 4 in 4", w.Clipped(), w.Frames())
	}
	for range 2 {
		if err := w.Close(); err != nil {
			t.Errorf("Close: %v", err)
		}
	}
	if err := w.Write(make([][2]float64, 1)); err == nil {
		t.Error("Write after Close gave no error")
	}
	b, err := os.ReadFile(f.Name())
	if err != nil {
		t.Fatal(err)
	}
	var got [8]int16
	binary.Read(bytes.NewReader(b[len(b)-16:]), binary.LittleEndian, &got)
	if want := [8]int16{32767, -32768, 32767, -32768, 0, 32767, 32767, 0}; got != want {
		t.Errorf("stored %v, want %v", got, want)
	}
}

func TestNewWAVWriterRefuses(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		rate, channels int
		enc            WAVEncoding
		want           string
	}{
		{0, 2, WAVInt16, "0 Hz"},
		{48000, 6, WAVInt16, "not 6"},
		{48000, 2, 7, "number 7"},
	} {
		_, err := NewWAVWriter(nil, tt.rate, tt.channels, tt.enc)
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%+v: error %v", tt, err)
		}
	}
}
