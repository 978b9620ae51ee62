package output

import (
	"fmt"
	"math"
	"math/rand"
	"testing"
	"time"

	"drylane/playback"
	"drylane/playback/resample"
	"drylane/testdata/reftest"
)

// noise returns n frames of noise that float32 holds exactly. No two places in
// it are alike, so that any run of frames says where it is from.
func noise(n int, seed int64) [][2]float64 {
	rng := rand.New(rand.NewSource(seed))
	out := make([][2]float64, n)
	for i := range out {
		out[i] = [2]float64{float64(rng.Intn(1<<20)-1<<19) / (1 << 20), float64(rng.Intn(1<<20)-1<<19) / (1 << 20)}
	}
	return out
}

// player feeds an output from src until it has been heard up to a frame.
type player struct {
	t   testing.TB
	out playback.Output
	src [][2]float64
	at  int64
}

// fill writes all there is room for.
func (p *player) fill() {
	p.t.Helper()
	n := min(int64(p.out.Space()), int64(len(p.src))-p.at)
	if err := p.out.Write(p.src[p.at : p.at+n]); err != nil {
		p.t.Fatal(err)
	}
	p.at += n
}

func (p *player) until(frame int64) int64 {
	p.t.Helper()
	last := int64(-1)
	for deadline := time.Now().Add(reftest.Patience); ; time.Sleep(5 * time.Millisecond) {
		p.fill()
		h, err := p.out.Heard()
		if err != nil {
			p.t.Fatal(err)
		}
		if h < last || h > p.at {
			p.t.Fatalf("heard %d after %d, written %d", h, last, p.at)
		}
		if last = h; h >= frame {
			return h
		}
		if time.Now().After(deadline) {
			p.t.Fatalf("heard %d frames in %v, want %d", h, reftest.Patience, frame)
		}
	}
}

func (p *player) start() {
	p.t.Helper()
	p.fill()
	if err := p.out.Start(); err != nil {
		p.t.Fatal(err)
	}
}

func (p *player) hold() int64 {
	p.t.Helper()
	h, err := p.out.Hold()
	if err != nil {
		p.t.Fatal(err)
	}
	p.at = h
	return h
}

// openTest opens an output on a private server.
func openTest(t testing.TB, server *reftest.Pulse, o Options) *pulse {
	t.Helper()
	o.Server = server.Server
	o, err := o.checked()
	if err != nil {
		t.Fatal(err)
	}
	p, err := openPulse(o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { p.Close() })
	return p
}

// converted is src at the device's rate, as float32 holds it.
func converted(t *testing.T, src [][2]float64, rate, device int) [][2]float64 {
	t.Helper()
	r, err := resample.New(rate, device)
	if err != nil {
		t.Fatal(err)
	}
	r.Write(src)
	out := make([][2]float64, r.Ratio().Out(int64(len(src))))
	out = out[:r.Read(out)]
	for i := range out {
		out[i] = [2]float64{float64(float32(out[i][0])), float64(float32(out[i][1]))}
	}
	return out
}

// reached is how much of an unbroken conversion a render that is held has given.
func reached(r *render) int64 {
	return r.zero.base/r.ratio.M*r.ratio.L + r.start - r.zero.start
}

// checkRecording finds src up to the last hold in got, with silence of any
// length at the holds and, as often as the output ran dry, elsewhere. As many
// fade-outs as came late may be missing, or shorter, but not a frame; and where
// nothing more had been written, the last of them were made without what follows.
func checkRecording(t *testing.T, got [][2]float32, src [][2]float64, holds []int64, length int64, dry, late int) {
	t.Helper()
	i, from := 0, int64(0)
	silence := func() (any bool) {
		for ; i < len(got) && got[i] == [2]float32{}; i++ {
			any = true
		}
		return any
	}
	for k, h := range holds {
		silence()
		missed := false
		for j, w := range faded(src[from:h], k > 0, length) {
			whole := src[from+int64(j)]
			if from+int64(j) >= h-length && (missed || late > 0) && i < len(got) && !near(got[i], w) &&
				(fainter(got[i], whole) || h-from-int64(j) <= rough) {
				if !missed {
					missed, late = true, late-1
				}
				w = [2]float64{float64(got[i][0]), float64(got[i][1])}
			}
			if i < len(got) && !near(got[i], w) && silence() {
				dry--
			}
			if i == len(got) || !near(got[i], w) || dry < 0 {
				t.Fatalf("stretch %d (frames %d to %d): frame %d of the recording is not frame %d of the music, but %s",
					k, from, h, i, from+int64(j), whereIs(got[min(i, len(got)):], src))
			}
			i++
		}
		from = h
	}
	if silence(); i < len(got) {
		t.Fatalf("frame %d sounds after the last hold", i)
	}
}

// faded is a stretch of music between two holds as it should sound, by the
// formula of a raised cosine.
func faded(src [][2]float64, in bool, length int64) [][2]float64 {
	out := append([][2]float64(nil), src...)
	for k := range length {
		g := math.Pow(math.Sin(math.Pi/2*(float64(k)+0.5)/float64(length)), 2)
		for c := range 2 {
			if in && k < int64(len(out)) {
				out[k][c] *= g
			}
			if e := int64(len(out)) - 1 - k; e >= 0 {
				out[e][c] *= g
			}
		}
	}
	return out
}

func near(got [2]float32, want [2]float64) bool {
	return math.Abs(float64(got[0])-want[0]) < 1e-6 && math.Abs(float64(got[1])-want[1]) < 1e-6
}

// rough is how many device frames depend on soundtrack frames that follow them, and
// a few.
const rough = 100

// fainter reports whether got is whole, at most as loud.
func fainter(got [2]float32, whole [2]float64) bool {
	gain := (float64(got[0])*whole[0] + float64(got[1])*whole[1]) / (whole[0]*whole[0] + whole[1]*whole[1])
	return gain >= 0 && gain < 1+1e-6 && near(got, [2]float64{gain * whole[0], gain * whole[1]})
}

// whereIs says which frame of src a recording goes on with.
func whereIs(got [][2]float32, src [][2]float64) string {
	const enough = 4
	for skip := range min(400, len(got)-enough) { // past a fade
	next:
		for at := range len(src) - enough {
			for k := range enough {
				if !near(got[skip+k], src[at+k]) {
					continue next
				}
			}
			return fmt.Sprintf("goes on with frame %d, %d frames later", at, skip)
		}
	}
	return fmt.Sprintf("unknown: %v", got[:min(len(got), 3)])
}
