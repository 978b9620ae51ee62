package gapless

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// seekFiles are the committed files, and one with every kind of damage.
func seekFiles(t testing.TB) map[string][]byte {
	files := map[string][]byte{}
	for _, f := range committed {
		files[f.name] = testFile(t, f.name)
	}
	b := slices.Clone(files["cbr-stereo.mp3"])
	frames := frameOffsets(t, b)
	rng := rand.New(rand.NewPCG(1, 2))
	spoil(b[frames[8]+4:])
	spoil(b[frames[9]+4:])
	for _, k := range []int{2, 5, 6} {
		for i := frames[k] + 60; i < frames[k]+400; i++ {
			b[i] = byte(rng.Uint32())
		}
	}
	b[frames[4]+2] ^= 0x40 // a wrong size
	clear(b[frames[11]:frames[12]])
	files["damaged"] = b
	return files
}

// noise is the hardest thing to encode: its frames are full.
func noise(rate, channels, frames int) [][2]float64 {
	rng := rand.New(rand.NewPCG(3, 4))
	out := make([][2]float64, frames)
	for i := range out {
		loud := 0.05
		if i/3000%2 == 1 {
			loud = 0.4 // above this the decoder clips and the reference does not
		}
		out[i] = [2]float64{loud * (2*rng.Float64() - 1), loud * (2*rng.Float64() - 1)}
	}
	return out
}

// At the highest bit rates some frames hold more than the longest one can on
// its own, so that the feed must put a part into the frame before.
func TestFullFrames(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		rate int
		args []string
	}{
		{44100, []string{"-b", "320"}},
		{48000, []string{"-b", "320", "-m", "j"}},
		{32000, []string{"-b", "320"}},
		{22050, []string{"-b", "160"}},
		{24000, []string{"-b", "160", "-m", "j"}},
	} {
		t.Run(fmt.Sprint(c.rate), func(t *testing.T) {
			args := append([]string{"--quiet"}, append(c.args, "IN", "OUT")...)
			b := encode(t, noise, c.rate, 2, 30000, "lame", args...)
			r := open(t, b)
			straight := readAll(t, r)
			if d, at := worst(straight, mpg123(t, b)); d > 1.1*lsb {
				t.Errorf("mpg123 differs by %.2f steps at frame %d", d/lsb, at)
			}
			led := 0
			for k, e := range r.ix.entries {
				if e.lead == 0 {
					continue
				}
				led++
				checkSeek(t, open(t, b), straight, r.ix.music(k))
				checkSeek(t, open(t, b), straight, r.ix.music(k+r.dec.priming()))
			}
			t.Logf("%d of %d frames have a lead", led, len(r.ix.entries))
		})
	}
}

// checkSeek wants the frames behind one at the start of an MPEG frame to be
// those of a straight read.
func checkSeek(t *testing.T, r *Reader, straight [][2]float64, at int64) {
	t.Helper()
	if err := r.Seek(int(at)); err != nil {
		t.Fatal(err)
	}
	buf := make([][2]float64, 1500)
	if n, _ := r.Stream(buf); !slices.Equal(buf[:n], straight[at:int(at)+n]) {
		t.Errorf("the frames from %d on are not those of a straight read", at)
	}
}

// frameOffsets are the offsets of the MPEG frames with sound.
func frameOffsets(t testing.TB, b []byte) []int {
	t.Helper()
	var out []int
	for _, e := range open(t, b).ix.entries {
		out = append(out, int(e.off))
	}
	return out
}

// After any seek the frames are those of a straight read, bit for bit.
func TestSeekExact(t *testing.T) {
	t.Parallel()
	for name, b := range seekFiles(t) {
		straight := readAll(t, open(t, b))
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(rt *rapid.T) {
				r := open(t, b)
				for range rapid.IntRange(1, 4).Draw(rt, "seeks") {
					at := rapid.IntRange(0, len(straight)).Draw(rt, "to")
					if err := r.Seek(at); err != nil {
						rt.Fatal(err)
					}
					buf := make([][2]float64, rapid.IntRange(1, 1500).Draw(rt, "read"))
					n, _ := r.Stream(buf)
					if !slices.Equal(buf[:n], straight[at:at+n]) || n < min(len(buf), len(straight)-at) {
						rt.Fatalf("%d frames from %d are not those of a straight read", n, at)
					}
					if r.Position() != at+n {
						rt.Fatalf("position %d after frame %d", r.Position(), at+n)
					}
				}
			})
		})
	}
}

// However the file is cut into chunks, and dealt out to however many cores.
func TestPassIsAStraightRead(t *testing.T) {
	t.Parallel()
	for name, b := range seekFiles(t) {
		want := readAll(t, open(t, b))
		for _, workers := range []int{1, 2, 3} {
			for _, size := range []int64{1, 3, passEntries} {
				t.Run(fmt.Sprintf("%s/%d by %d", name, workers, size), func(t *testing.T) { checkPass(t, b, want, workers, size) })
			}
		}
	}
}

func checkPass(t *testing.T, b []byte, want [][2]float64, workers int, size int64) {
	opened, closed := make(chan int, 64), make(chan int, 64)
	src := func() (io.ReadSeekCloser, error) {
		opened <- 1
		return closeTeller{bytes.NewReader(b), closed}, nil
	}
	r := open(t, b)
	var got [][2]float64
	err := newPass(r.ix, workers, size).run(context.Background(), r, src, func(start int64, frames [][2]float64) error {
		if start != int64(len(got)) {
			t.Errorf("chunk at %d, want %d", start, len(got))
		}
		got = append(got, frames...)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(got, want) {
		t.Error("the frames are not those of a straight read")
	}
	if len(opened) != workers-1 || len(closed) != workers-1 {
		t.Errorf("%d sources opened, %d closed, want %d", len(opened), len(closed), workers-1)
	}
	straight := open(t, b)
	readAll(t, straight)
	if got, want := r.Info().Repairs, straight.Info().Repairs; !slices.Equal(got, want) {
		t.Errorf("the pass met the damage %v, a straight read %v", got, want)
	}
}

type closeTeller struct {
	io.ReadSeeker
	closed chan int
}

func (c closeTeller) Close() error { c.closed <- 1; return nil }

func TestPassEndsOnError(t *testing.T) {
	t.Parallel()
	b := testFile(t, "cbr-stereo.mp3")
	src := func() (io.ReadSeekCloser, error) { return closeTeller{bytes.NewReader(b), make(chan int, 1)}, nil }
	stop := errors.New("stop")
	if err := open(t, b).Pass(context.Background(), src, func(int64, [][2]float64) error { return stop }); !errors.Is(err, stop) {
		t.Errorf("an error of fn came out as %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if err := open(t, b).Pass(ctx, src, func(int64, [][2]float64) error { return nil }); !errors.Is(err, context.Canceled) {
		t.Errorf("a cancelled pass ended with %v", err)
	}
	none := func() (io.ReadSeekCloser, error) { return nil, stop }
	r := open(t, b)
	if err := newPass(r.ix, 2, 1).run(context.Background(), r, none, func(int64, [][2]float64) error { return nil }); !errors.Is(err, stop) {
		t.Errorf("an error of open came out as %v", err)
	}
}

// A source that breaks while it is played ends the stream with its error.
func TestBrokenSource(t *testing.T) {
	t.Parallel()
	b := testFile(t, "cbr-stereo.mp3")
	src := &breaking{ReadSeeker: bytes.NewReader(b)}
	r, err := NewReader(src)
	if err != nil {
		t.Fatal(err)
	}
	src.err = errors.New("the stick was pulled")
	n, ok := r.Stream(make([][2]float64, 10))
	if n != 0 || ok || !errors.Is(r.Err(), src.err) {
		t.Errorf("%d frames, %v, error %v", n, ok, r.Err())
	}
}

type breaking struct {
	io.ReadSeeker
	err error
}

func (b *breaking) Read(p []byte) (int, error) {
	if b.err != nil {
		return 0, b.err
	}
	return b.ReadSeeker.Read(p)
}
