package loudness

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"drylane/testdata/reftest"
)

// meterC reads interleaved doubles and prints what libebur128 makes of them:
// integrated loudness, range, true peak and sample peak (linear), and the
// largest momentary loudness, looked at every 10 ms, and short-term loudness,
// looked at every 100 ms.
const meterC = `
#include <ebur128.h>
#include <stdio.h>
#include <stdlib.h>
#include <math.h>
int main(int argc, char **argv) {
	unsigned channels = atoi(argv[1]), rate = atoi(argv[2]), n, hop = 0;
	ebur128_state *s = ebur128_init(channels, rate, EBUR128_MODE_I | EBUR128_MODE_LRA |
		EBUR128_MODE_S | EBUR128_MODE_M | EBUR128_MODE_TRUE_PEAK);
	double *in = malloc(sizeof(double) * channels * (rate / 100));
	double i, lra, v, m = -HUGE_VAL, st = -HUGE_VAL, tp = 0, sp = 0;
	if (argc > 3) ebur128_set_channel(s, 0, EBUR128_DUAL_MONO);
	while ((n = fread(in, sizeof(double) * channels, rate / 100, stdin)) > 0) {
		ebur128_add_frames_double(s, in, n);
		ebur128_loudness_momentary(s, &v); m = fmax(m, v);
		if (++hop % 10 == 0) { ebur128_loudness_shortterm(s, &v); st = fmax(st, v); }
	}
	ebur128_loudness_global(s, &i);
	ebur128_loudness_range(s, &lra);
	for (unsigned c = 0; c < channels; c++) {
		ebur128_true_peak(s, c, &v); tp = fmax(tp, v);
		ebur128_sample_peak(s, c, &v); sp = fmax(sp, v);
	}
	printf("%f %f %f %f %f %f\n", i, lra, 20*log10(tp), 20*log10(sp), m, st);
	return 0;
}
`

// libebur128 measures frames with the library through the built meterC.
func libebur128(t *testing.T, program string, rate, channels int, o Options, frames [][2]float64) Result {
	t.Helper()
	args := []string{strconv.Itoa(channels), strconv.Itoa(rate)}
	if o.DualMono {
		args = append(args, "dual")
	}
	cmd := exec.Command(program, args...)
	cmd.Stdin = bytes.NewReader(doubles(frames, channels))
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var r Result
	if _, err := fmt.Sscan(string(out), &r.Integrated, &r.Range, &r.TruePeak, &r.SamplePeak, &r.MomentaryMax, &r.ShortTermMax); err != nil {
		t.Fatalf("libebur128 said %q: %v", out, err)
	}
	return r
}

// buildMeterC compiles meterC, or ends the test where that cannot be done.
func buildMeterC(t *testing.T) string {
	t.Helper()
	cc := reftest.Tool(t, "cc")
	dir := t.TempDir()
	source, program := filepath.Join(dir, "meter.c"), filepath.Join(dir, "meter")
	if err := os.WriteFile(source, []byte(meterC), 0o600); err != nil {
		t.Fatal(err)
	}
	check := exec.Command(cc, "-E", "-x", "c", "-")
	check.Stdin = strings.NewReader("#include <ebur128.h>\n")
	if check.Run() != nil {
		reftest.Missing(t, "the library libebur128 with its header")
	}
	if out, err := exec.Command(cc, "-O1", "-o", program, source, "-lebur128", "-lm").CombinedOutput(); err != nil {
		t.Fatalf("compiling the reference meter: %v\n%s", err, out)
	}
	return program
}

// doubles returns the frames as raw little-endian doubles.
func doubles(frames [][2]float64, channels int) []byte {
	raw := make([]byte, 0, 8*channels*len(frames))
	for _, f := range frames {
		for c := range channels {
			raw = binary.LittleEndian.AppendUint64(raw, math.Float64bits(f[c]))
		}
	}
	return raw
}

// Source: libebur128 1.2.6, run here. Its high-pass is up to 0.05 dB (at 22.05
// kHz) louder away from 48 kHz than the tables are at 48 kHz.
func TestAgainstLibebur128(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	program := buildMeterC(t)
	for _, c := range []struct {
		rate, channels int
		o              Options
		seconds        float64
	}{
		{44100, 2, Options{}, 120},
		{48000, 2, Options{}, 20},
		{44100, 1, Options{}, 12},
		{48000, 1, Options{DualMono: true}, 12},
		{88200, 2, Options{}, 9},
		{96000, 2, Options{}, 9},
		{22050, 2, Options{}, 12},
		{32000, 2, Options{}, 12},
	} {
		frames := music(c.rate, c.seconds, uint64(c.rate+c.channels))
		got := measured(t, c.rate, c.channels, c.o, frames)
		want := libebur128(t, program, c.rate, c.channels, c.o, frames)
		name := fmt.Sprintf("%d Hz, %d channels: ", c.rate, c.channels)
		t.Logf("%sI %.3f/%.3f LRA %.2f/%.2f TP %.3f/%.3f M %.3f/%.3f S %.3f/%.3f (ours/theirs)", name,
			got.Integrated, want.Integrated, got.Range, want.Range, got.TruePeak, want.TruePeak,
			got.MomentaryMax, want.MomentaryMax, got.ShortTermMax, want.ShortTermMax)
		near(t, name+"I", got.Integrated, float64(want.Integrated), 0.1)
		near(t, name+"max M", got.MomentaryMax, float64(want.MomentaryMax), 0.1)
		near(t, name+"max S", got.ShortTermMax, float64(want.ShortTermMax), 0.1)
		// Its interpolator is half as long and falls off towards half the
		// rate: on the mono music at 48 kHz it reads 0.78 dBTP, ffmpeg 1.06
		// and a Fourier interpolation to 32 times the rate 1.29.
		if d := float64(got.TruePeak - want.TruePeak); d < -0.1 || d > 0.4 {
			t.Errorf("%strue peak is %.3f dB above the library's, wanted -0.1 to 0.4", name, d)
		}
		near(t, name+"sample peak", got.SamplePeak, float64(want.SamplePeak), 1e-5)
		if c.seconds >= 120 {
			// It steps by 1 s, ours by 100 ms: sections must be long.
			near(t, name+"range", got.Range, want.Range, 1)
		}
	}
}

// Source: ffmpeg's ebur128 filter (5.1), run here, which interpolates to 192
// kHz with a resampler of its own.
func TestAgainstFFmpeg(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	ffmpeg := reftest.Tool(t, "ffmpeg")
	for _, c := range []struct {
		rate, channels int
		seconds        float64
		seed           uint64
	}{
		{32000, 2, 24, 32000},
		{44100, 2, 24, 44100},
		{48000, 2, 24, 48000},
		{48000, 1, 12, 48001}, // where libebur128 reads a low true peak
	} {
		frames := music(c.rate, c.seconds, c.seed)
		got := measured(t, c.rate, c.channels, Options{}, frames)
		cmd := exec.Command(ffmpeg, "-hide_banner", "-loglevel", "error", "-nostats",
			"-f", "f64le", "-ar", strconv.Itoa(c.rate), "-ac", strconv.Itoa(c.channels), "-i", "pipe:0",
			"-af", "ebur128=peak=true:metadata=1,ametadata=print:file=-", "-f", "null", "-")
		cmd.Stdin = bytes.NewReader(doubles(frames, c.channels))
		out, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		last, largest := ffmpegReadings(t, string(out))
		name := fmt.Sprintf("%d Hz, %d channels: ", c.rate, c.channels)
		t.Logf("%sI %.3f/%.3f LRA %.2f/%.2f TP %.3f/%.3f M %.3f/%.3f S %.3f/%.3f (ours/theirs)", name,
			got.Integrated, last["I"], got.Range, last["LRA"], got.TruePeak, decibels(last["true_peak"]),
			got.MomentaryMax, largest["M"], got.ShortTermMax, largest["S"])
		near(t, name+"I", got.Integrated, last["I"], 0.1)
		// Short sections make the range steep in every quantile.
		near(t, name+"range", got.Range, last["LRA"], 0.5)
		near(t, name+"true peak", got.TruePeak, float64(decibels(last["true_peak"])), 0.2)
		near(t, name+"max S", got.ShortTermMax, largest["S"], 0.1)
		// It looks every 100 ms and can miss up to 0.6 LU of a burst.
		if d := float64(got.MomentaryMax) - largest["M"]; d < -0.1 || d > 0.6 {
			t.Errorf("%smax M is %.3f LU above what ffmpeg saw, wanted -0.1 to 0.6", name, d)
		}
	}
}

// ffmpegReadings returns the last and the largest of each value that the
// filter printed.
func ffmpegReadings(t *testing.T, out string) (last, largest map[string]float64) {
	t.Helper()
	last, largest = map[string]float64{}, map[string]float64{}
	for line := range strings.Lines(out) {
		key, value, found := strings.Cut(strings.TrimSpace(line), "=")
		key, ours := strings.CutPrefix(key, "lavfi.r128.")
		if !found || !ours {
			continue
		}
		v, err := strconv.ParseFloat(value, 64)
		if err != nil {
			t.Fatalf("ffmpeg said %q: %v", line, err)
		}
		if old, seen := largest[key]; !seen || v > old {
			largest[key] = v
		}
		last[key] = v
	}
	if len(last) == 0 {
		t.Fatalf("ffmpeg printed no reading: %q", out)
	}
	return last, largest
}
