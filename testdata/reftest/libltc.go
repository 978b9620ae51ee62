package reftest

import (
	"bytes"
	"fmt"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// Libltc compiles the program at source, which playback/ltc has, with libltc
// (Debian's libltc-dev), and returns a function that runs it.
func Libltc(t testing.TB, source string) func(stdin []byte, args ...any) []byte {
	t.Helper()
	cc := Tool(t, "cc")
	probe := exec.Command(cc, "-E", "-")
	probe.Stdin = strings.NewReader("#include <ltc.h>\n")
	if probe.Run() != nil {
		Missing(t, "the header ltc.h")
	}
	program := filepath.Join(t.TempDir(), "reference")
	if out, err := exec.Command(cc, "-O2", "-o", program, source, "-lltc").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return func(stdin []byte, args ...any) []byte {
		t.Helper()
		var words []string
		for _, a := range args {
			words = append(words, fmt.Sprint(a))
		}
		cmd := exec.Command(program, words...)
		cmd.Stdin = bytes.NewReader(stdin)
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("reference %v: %v", words, err)
		}
		return out
	}
}

// LibltcSamples are the samples of what libltc wrote, which has 8 bits without a sign.
func LibltcSamples(raw []byte) []float64 {
	samples := make([]float64, len(raw))
	for i, b := range raw {
		samples[i] = (float64(b) - 128) / 127
	}
	return samples
}
