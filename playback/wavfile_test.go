package playback

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"drylane/playback/riff"
)

// memFile is a file in memory.
type memFile struct{ *bytes.Reader }

func (memFile) Close() error { return nil }

func openBytes(b []byte) (*Soundtrack, error) {
	return Open("test", memFile{bytes.NewReader(b)})
}

// chunk makes a RIFF chunk that states size bytes, with its pad byte.
func chunk(id string, size int64, body []byte) []byte {
	b := binary.LittleEndian.AppendUint32([]byte(id), uint32(size))
	b = append(b, body...)
	if len(body)%2 != 0 {
		b = append(b, 0)
	}
	return b
}

func plain(id string, body []byte) []byte { return chunk(id, int64(len(body)), body) }

// wavFormat makes the body of a plain fmt chunk.
func wavFormat(tag, channels, rate, bits int) []byte {
	le := binary.LittleEndian
	block := channels * ((bits + 7) / 8)
	b := le.AppendUint16(le.AppendUint16(nil, uint16(tag)), uint16(channels))
	b = le.AppendUint32(le.AppendUint32(b, uint32(rate)), uint32(rate*block))
	return le.AppendUint16(le.AppendUint16(b, uint16(block)), uint16(bits))
}

// extensible makes the body of an extensible fmt chunk.
func extensible(tag, channels, rate, bits, valid int) []byte {
	le := binary.LittleEndian
	b := wavFormat(riff.Extensible, channels, rate, bits)
	b = le.AppendUint16(le.AppendUint16(b, 22), uint16(valid))
	b = le.AppendUint16(le.AppendUint32(b, 3), uint16(tag))
	return append(b, "\x00\x00\x00\x00\x10\x00\x80\x00\x00\xaa\x00\x38\x9b\x71"...)
}

// riffFile wraps chunks in a file of the given kind that states size bytes.
func riffFile(kind string, size uint32, chunks ...[]byte) []byte {
	b := append(binary.LittleEndian.AppendUint32([]byte(kind), size), "WAVE"...)
	for _, c := range chunks {
		b = append(b, c...)
	}
	return b
}

var (
	fmt16  = plain("fmt ", wavFormat(riff.PCM, 2, 44100, 16))
	data16 = []byte{1, 0, 2, 0, 0xFF, 0x7F, 0, 0x80, 3, 0, 4, 0}
	want16 = [][2]float64{{1. / 32768, 2. / 32768}, {32767. / 32768, -1}, {3. / 32768, 4. / 32768}}
)

func ds64(riffSize, dataSize uint64) []byte {
	b := binary.LittleEndian.AppendUint64(binary.LittleEndian.AppendUint64(nil, riffSize), dataSize)
	return plain("ds64", append(b, make([]byte, 12)...))
}

func TestWAVLayouts(t *testing.T) {
	t.Parallel()
	list := plain("LIST", append([]byte("INFO"), append(plain("INAM", []byte("Rain\x00")), plain("IART", []byte("Nobody"))...)...))
	for _, tt := range []struct {
		name      string
		file      []byte
		want      [][2]float64
		truncated string
		unstated  bool
		title     string
	}{
		{name: "plain", file: riffFile("RIFF", 48, fmt16, plain("data", data16)), want: want16},
		{name: "wrong RIFF size", file: riffFile("RIFF", 7, fmt16, plain("data", data16)), want: want16},
		{name: "odd chunks before", file: riffFile("RIFF", 0, plain("bext", make([]byte, 603)), plain("JUNK", nil), fmt16,
			plain("cue ", make([]byte, 29)), plain("fact", make([]byte, 4)), plain("data", data16)), want: want16},
		{name: "tags before", file: riffFile("RIFF", 0, list, fmt16, plain("data", data16)), want: want16, title: "Rain"},
		{name: "tags behind", file: riffFile("RIFF", 0, fmt16, plain("data", data16), plain("cue ", nil), list), want: want16, title: "Rain"},
		{name: "long format chunk", file: riffFile("RIFF", 0, plain("fmt ", append(wavFormat(riff.PCM, 2, 44100, 16), 0, 0)), plain("data", data16)), want: want16},
		{name: "extensible", file: riffFile("RIFF", 0, plain("fmt ", extensible(riff.PCM, 2, 44100, 16, 16)), plain("data", data16)), want: want16},
		{name: "ID3 in front", file: append([]byte("ID3\x04\x00\x00\x00\x00\x00\x05abcde"), riffFile("RIFF", 0, fmt16, plain("data", data16))...), want: want16},
		{name: "part of a frame at the end", file: riffFile("RIFF", 0, fmt16, plain("data", append(data16[:12:12], 9, 9, 9))), want: want16},
		{name: "8 bits, mono, odd", file: riffFile("RIFF", 0, plain("fmt ", wavFormat(riff.PCM, 1, 22050, 8)), plain("data", []byte{0, 128, 255}), list),
			want: [][2]float64{{-1, -1}, {0, 0}, {127. / 128, 127. / 128}}, title: "Rain"},
		{name: "24 bits", file: riffFile("RIFF", 0, plain("fmt ", wavFormat(riff.PCM, 2, 96000, 24)), plain("data", []byte{1, 0, 0, 0xFF, 0xFF, 0xFF})),
			want: [][2]float64{{1. / (1 << 23), -1. / (1 << 23)}}},
		{name: "24 bits in 32", file: riffFile("RIFF", 0, plain("fmt ", extensible(riff.PCM, 1, 48000, 32, 24)), plain("data", []byte{0, 1, 0, 0, 0, 0, 0, 0x80})),
			want: [][2]float64{{1. / (1 << 23), 1. / (1 << 23)}, {-1, -1}}},
		{name: "20 bits", file: riffFile("RIFF", 0, plain("fmt ", wavFormat(riff.PCM, 1, 48000, 20)), plain("data", []byte{0, 0, 0x40})),
			want: [][2]float64{{0.5, 0.5}}},
		{name: "float, not a number", file: riffFile("RIFF", 0, plain("fmt ", wavFormat(riff.Float, 1, 48000, 32)),
			plain("data", binary.LittleEndian.AppendUint32([]byte{0, 0, 0xC0, 0xBF}, math.Float32bits(float32(math.NaN()))))),
			want: [][2]float64{{-1.5, -1.5}, {0, 0}}},
		{name: "float 64, extensible", file: riffFile("RIFF", 0, plain("fmt ", extensible(riff.Float, 1, 48000, 64, 64)),
			plain("data", binary.LittleEndian.AppendUint64(nil, math.Float64bits(0.1)))), want: [][2]float64{{0.1, 0.1}}},
		{name: "RF64", file: riffFile("RF64", 0xFFFFFFFF, ds64(76, 12), fmt16, chunk("data", 0xFFFFFFFF, data16), list), want: want16, title: "Rain"},
		{name: "BW64", file: riffFile("BW64", 0xFFFFFFFF, ds64(76, 12), fmt16, chunk("data", 0xFFFFFFFF, data16)), want: want16},
		{name: "RF64 that lies", file: riffFile("RF64", 0xFFFFFFFF, ds64(1<<62, 1<<44), fmt16, chunk("data", 0xFFFFFFFF, data16)), want: want16, truncated: "27702:29:05"},
		{name: "RF64, negative size", file: riffFile("RF64", 0xFFFFFFFF, ds64(1<<62, 1<<63), fmt16, chunk("data", 0xFFFFFFFF, data16)), want: want16, unstated: true},
		{name: "RF64 without ds64", file: riffFile("RF64", 0xFFFFFFFF, fmt16, chunk("data", 0xFFFFFFFF, data16)), want: want16, unstated: true},
		{name: "streamed", file: riffFile("RIFF", 0xFFFFFFFF, fmt16, chunk("data", 0xFFFFFFFF, data16)), want: want16, unstated: true},
		{name: "streamed, zero", file: riffFile("RIFF", 0, fmt16, chunk("data", 0, data16)), want: want16, unstated: true},
		{name: "cut off", file: riffFile("RIFF", 0, fmt16, chunk("data", 4*44100*61, data16)), want: want16, truncated: "has 1:01 of music, but it is cut off after 0:00"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s, err := openBytes(tt.file)
			if err != nil {
				t.Fatal(err)
			}
			got := readAll(t, s)
			if fmt.Sprint(got) != fmt.Sprint(tt.want) || s.Len() != len(tt.want) {
				t.Errorf("%d frames %v, want %v", s.Len(), got, tt.want)
			}
			i := s.Info()
			if i.Title != tt.title || (i.Unstated != "") != tt.unstated ||
				!strings.Contains(i.Truncated, tt.truncated) || (i.Truncated == "") != (tt.truncated == "") {
				t.Errorf("%+v", i)
			}
		})
	}
}

// Files as other programs write them. The reference is ffmpeg's decode.
func TestWAVAgainstFFmpeg(t *testing.T) {
	t.Parallel()
	in := writeWAV(t, 44100, 2, WAVInt24, music(20_001))
	for _, args := range []string{
		"-c:a pcm_u8", "-c:a pcm_s16le -ac 1", "-c:a pcm_s24le", "-c:a pcm_s32le -ar 88200", "-c:a pcm_f32le", "-c:a pcm_f64le -ar 32000",
		"-rf64 always", "-rf64 auto -write_bext 1 -metadata description=x", "-metadata title=Rain",
	} {
		out := filepath.Join(t.TempDir(), "out.wav")
		run(t, "ffmpeg", append(append([]string{"-v", "error", "-i", in}, strings.Fields(args)...), out)...)
		want := ffmpegRaw(t, out, "f64le")
		s := mustOpen(t, out)
		got := readAll(t, s)
		if len(got)*8*s.Channels() != len(want) {
			t.Errorf("%s: %d frames, ffmpeg has %d", args, len(got), len(want)/8/s.Channels())
			continue
		}
		for i := range got {
			for c := range s.Channels() {
				w := math.Float64frombits(binary.LittleEndian.Uint64(want[8*(i*s.Channels()+c):]))
				if got[i][c] != w {
					t.Fatalf("%s: frame %d is %v, ffmpeg has %v", args, i, got[i][c], w)
				}
			}
		}
		if title := s.Info().Title; strings.Contains(args, "title") != (title == "Rain") {
			t.Errorf("%s: title %q", args, title)
		}
		checkSeeks(t, out, got)
	}
	// Through a pipe, where nobody can go back to fill in the sizes.
	piped := run(t, "ffmpeg", "-v", "error", "-i", in, "-f", "wav", "-")
	soxed := run(t, "sox", "--ignore-length", in, "-t", "wav", "-")
	for name, b := range map[string][]byte{"ffmpeg": piped, "sox": soxed} {
		s, err := openBytes(b)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if i := s.Info(); i.Frames != 20_001 || i.Truncated != "" {
			t.Errorf("a pipe of %s: %+v", name, i)
		}
	}
}

func TestWAVRefused(t *testing.T) {
	t.Parallel()
	data := plain("data", data16)
	for _, tt := range []struct {
		name string
		file []byte
		want string
	}{
		{"surround", riffFile("RIFF", 0, plain("fmt ", extensible(riff.PCM, 6, 48000, 16, 16)), data), "has 6 channels; a stereo or mono file is wanted"},
		{"no channels", riffFile("RIFF", 0, plain("fmt ", wavFormat(riff.PCM, 0, 48000, 16)), data), "has 0 channels"},
		{"rate too low", riffFile("RIFF", 0, plain("fmt ", wavFormat(riff.PCM, 2, 8000, 16)), data), "runs at 8000 Hz; 22050 to 96000 Hz is wanted"},
		{"rate too high", riffFile("RIFF", 0, plain("fmt ", wavFormat(riff.PCM, 2, 192000, 16)), data), "runs at 192000 Hz"},
		{"A-law", riffFile("RIFF", 0, plain("fmt ", wavFormat(6, 2, 48000, 8)), data), "has A-law inside a WAV file"},
		{"MP3 in WAV", riffFile("RIFF", 0, plain("fmt ", wavFormat(0x55, 2, 48000, 16)), data), "has MP3 inside"},
		{"unknown code", riffFile("RIFF", 0, plain("fmt ", wavFormat(0x1234, 2, 48000, 16)), data), "encoding 0x1234"},
		{"foreign GUID", riffFile("RIFF", 0, plain("fmt ", make([]byte, 40)), data), "encoding 0x0000"},
		{"48 bits", riffFile("RIFF", 0, plain("fmt ", wavFormat(riff.PCM, 2, 48000, 48)), data), "of 48 bits a sample"},
		{"16-bit floats", riffFile("RIFF", 0, plain("fmt ", wavFormat(riff.Float, 2, 48000, 16)), data), "of 16 bits a sample"},
		{"odd packing", riffFile("RIFF", 0, plain("fmt ", append(wavFormat(riff.PCM, 2, 48000, 16)[:12], 9, 0, 16, 0)), data), "into 9 bytes"},
		{"short format chunk", riffFile("RIFF", 0, plain("fmt ", []byte{1, 0, 2, 0}), data), "broken format chunk"},
		{"no format chunk", riffFile("RIFF", 0, data), "without a format chunk"},
		{"no data chunk", riffFile("RIFF", 0, fmt16, plain("LIST", []byte("INFO"))), "without any sound data"},
		{"chunk past the end", riffFile("RIFF", 0, fmt16, chunk("LIST", 0xFFFFFFF0, []byte("INFO"))), "without any sound data"},
		{"empty data", riffFile("RIFF", 48, fmt16, plain("data", nil)), "has no music"},
		{"cut before its first frame", riffFile("RIFF", 48, fmt16, chunk("data", 4000, []byte{1, 0})), "cut off before its first sound"},
		{"cut in the header", []byte("RIFF\x00\x00"), "an MP3"},
		{"big-endian", []byte("RIFX\x00\x00\x00\x00WAVEfmt "), "is a big-endian WAV file"},
	} {
		_, err := openBytes(tt.file)
		if err == nil || !strings.Contains(err.Error(), tt.want) || !strings.HasPrefix(err.Error(), "test ") {
			t.Errorf("%s: error %v, want %q", tt.name, err, tt.want)
		}
	}
}

// A file above 4 GiB, all hole but for its ends: positions are not cut to 32 bits.
func TestWAVAbove4GiB(t *testing.T) {
	t.Parallel()
	f, err := os.Create(filepath.Join(t.TempDir(), "large.wav"))
	if err != nil {
		t.Fatal(err)
	}
	const frames = 1<<30 + 5 // 4 bytes each
	head := riffFile("RF64", 0xFFFFFFFF, ds64(0, 4*frames), fmt16, chunk("data", 0xFFFFFFFF, nil))
	f.Write(head)
	if _, err := f.WriteAt(data16, int64(len(head))+4*(frames-3)); err != nil {
		t.Skipf("no room for a file with a hole: %v", err)
	}
	f.Close()
	s := mustOpen(t, f.Name())
	if s.Len() != frames {
		t.Fatalf("%d frames, want %d", s.Len(), frames)
	}
	if err := s.Seek(frames - 3); err != nil {
		t.Fatal(err)
	}
	if got := readAll(t, s); fmt.Sprint(got) != fmt.Sprint(want16) {
		t.Errorf("the end is %v", got)
	}
}

// A file cut short while it is open must not pass for one that has ended.
func TestWAVCutWhileOpen(t *testing.T) {
	t.Parallel()
	path := writeWAV(t, 48000, 2, WAVInt16, music(100_000))
	s := mustOpen(t, path)
	if err := os.Truncate(path, 200_002); err != nil {
		t.Fatal(err)
	}
	got, buf := 0, make([][2]float64, 1000)
	for {
		n, ok := s.Stream(buf)
		if got += n; !ok {
			break
		}
	}
	if s.Err() == nil || got != s.Position() || got > 50_000 {
		t.Errorf("%d frames, then %v", got, s.Err())
	}
	if err := s.Seek(10); err != nil || s.Err() != nil {
		t.Errorf("seek after an error: %v, %v", err, s.Err())
	}
	if n, ok := s.Stream(buf); n != len(buf) || !ok {
		t.Errorf("after the seek: %d, %v", n, ok)
	}
}

// The file that a writer leaves behind when it does not get to Close.
func TestWAVWriterCutOff(t *testing.T) {
	t.Parallel()
	f, err := os.Create(filepath.Join(t.TempDir(), "crash.wav"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	w, err := NewWAVWriter(f, 48000, 2, WAVInt16)
	if err != nil {
		t.Fatal(err)
	}
	frames := music(50_000)
	if err := w.Write(frames); err != nil {
		t.Fatal(err)
	}
	if end, _ := f.Seek(0, io.SeekEnd); end < 100_000 {
		t.Fatalf("only %d bytes were written", end)
	}
	s := mustOpen(t, f.Name())
	if s.Len() < 25_000 || s.Info().Unstated == "" {
		t.Errorf("%+v", s.Info())
	}
	for i, got := range readAll(t, s) {
		if got != frames[i] {
			t.Fatalf("frame %d is %v, want %v", i, got, frames[i])
		}
	}
}
