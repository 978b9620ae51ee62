package playback

import (
	"encoding/binary"
	"encoding/json"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"

	"drylane/testdata/reftest"
)

// largeWAV writes a WAV file of more than 4 GiB with a hole in it, which takes
// no room on a disk that keeps holes: some frames at its start, silence, and the
// same frames at its end.
func largeWAV(t *testing.T, ends [][2]float64) (path string, frames int64) {
	t.Helper()
	if runtime.GOOS == "windows" {
		t.Skip("a hole in a file takes room here")
	}
	const hole = 1<<30 + 12345 // frames of 4 bytes
	f, err := os.Create(filepath.Join(t.TempDir(), "large.wav"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	w, err := NewWAVWriter(f, 96000, 2, WAVInt16)
	if err != nil {
		t.Fatal(err)
	}
	if err := w.Write(ends); err != nil {
		t.Fatal(err)
	}
	if err := w.buf.Flush(); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Seek(4*hole, io.SeekCurrent); err != nil {
		t.Fatal(err)
	}
	w.frames += hole
	if err := w.Write(ends); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return f.Name(), w.Frames()
}

// A file that really is larger than 4 GiB reads back to its last frame: by us,
// and by ffmpeg, which also counts its frames.
func TestWAVBeyond4GiB(t *testing.T) {
	t.Parallel()
	ends := ramp16()
	path, frames := largeWAV(t, ends)
	head := make([]byte, 80)
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := io.ReadFull(f, head); err != nil {
		t.Fatal(err)
	}
	info, err := f.Stat()
	if err != nil {
		t.Fatal(err)
	}
	le := binary.LittleEndian
	// EBU Tech 3306: RF64, 32-bit sizes of all ones, ds64 with RIFF size, data
	// size and count of samples.
	if string(head[:4]) != "RF64" || le.Uint32(head[4:]) != 1<<32-1 || string(head[12:16]) != "ds64" ||
		le.Uint64(head[20:]) != uint64(info.Size()-8) || le.Uint64(head[28:]) != uint64(4*frames) || le.Uint64(head[36:]) != uint64(frames) {
		t.Errorf("%q is no header for a file of %d bytes, %d frames", head, info.Size(), frames)
	}
	s, err := OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if int64(s.Len()) != frames || s.Info().Truncated != "" {
		t.Fatalf("%d frames, want %d (%s)", s.Len(), frames, s.Info().Truncated)
	}
	got := make([][2]float64, len(ends))
	for _, at := range []int64{0, frames - int64(len(ends)), frames - 3} {
		if err := s.Seek(int(at)); err != nil {
			t.Fatal(err)
		}
		n := 0
		for n < len(got) {
			k, ok := s.Stream(got[n:])
			if n += k; !ok {
				break
			}
		}
		want := ends[max(0, int64(len(ends))-(frames-at)):]
		if n != min(len(want), len(got)) {
			t.Fatalf("%d frames read from frame %d on, want %d", n, at, len(want))
		}
		for i := range want {
			if got[i] != want[i] {
				t.Fatalf("frame %d is %v, want %v", at+int64(i), got[i], want[i])
			}
		}
	}
	checkProbe(t, path, frames)
	seconds := strconv.FormatFloat(float64(frames-int64(len(ends)))/96000, 'f', 9, 64)
	out, err := exec.Command(reftest.Tool(t, "ffmpeg"), "-v", "error", "-ss", seconds, "-i", path, "-f", "s16le", "-").Output()
	if err != nil || len(out) != 4*len(ends) {
		t.Fatalf("ffmpeg reads %d bytes from the end (%v), want %d", len(out), err, 4*len(ends))
	}
	for i := range ends {
		if l := int(int16(le.Uint16(out[4*i:]))); l != i-1<<15 {
			t.Fatalf("ffmpeg: frame %d from the end is %d, want %d", i, l, i-1<<15)
		}
	}
}

// checkProbe holds what ffprobe makes of the file against its length.
func checkProbe(t *testing.T, path string, frames int64) {
	t.Helper()
	out, err := exec.Command(reftest.Tool(t, "ffprobe"), "-v", "error", "-show_entries", "stream=duration_ts,sample_rate,channels", "-of", "json", path).Output()
	if err != nil {
		t.Fatal(err)
	}
	var probe struct {
		Streams []struct {
			Frames   int64  `json:"duration_ts"`
			Rate     string `json:"sample_rate"`
			Channels int
		}
	}
	if err := json.Unmarshal(out, &probe); err != nil || len(probe.Streams) != 1 {
		t.Fatalf("ffprobe: %v: %s", err, out)
	}
	if s := probe.Streams[0]; s.Frames != frames || s.Rate != "96000" || s.Channels != 2 {
		t.Errorf("ffprobe finds %+v, want %d frames of 2 channels at 96000 Hz", s, frames)
	}
}

// A companion file of the longest length there is needs the large header: a
// writer that only counts gets to its end and has it written.
func TestWAVWriterCounts(t *testing.T) {
	t.Parallel()
	w := &counting{}
	out, err := NewWAVWriter(w, 96000, 2, WAVInt24)
	if err != nil {
		t.Fatal(err)
	}
	out.frames = 96000 * maxHours * 3600 // as many as a soundtrack may have
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
	le := binary.LittleEndian
	if data := le.Uint64(w.head[28:]); string(w.head[:4]) != "RF64" || data != 6*96000*24*3600 {
		t.Errorf("%q with %d bytes of data, want RF64 with %d", w.head[:4], data, 6*96000*24*3600)
	}
}

// counting keeps the last header that was written at its start.
type counting struct {
	at   int64
	head []byte
}

func (c *counting) Write(p []byte) (int, error) {
	if c.at == 0 {
		c.head = append([]byte(nil), p...)
	}
	c.at += int64(len(p))
	return len(p), nil
}

func (c *counting) Seek(offset int64, whence int) (int64, error) {
	if whence == io.SeekStart {
		c.at = offset
	}
	return c.at, nil
}
