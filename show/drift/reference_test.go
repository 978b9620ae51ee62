package drift

import (
	"encoding/json"
	"math/rand/v2"
	"os"
	"os/exec"
	"testing"
)

// python returns the path of python3, whose statistics module is the reference
// here. Without it the test is skipped, or fails where references are required.
func python(t *testing.T) string {
	t.Helper()
	path, err := exec.LookPath("python3")
	if err != nil && os.Getenv("DRYLANE_REQUIRE_REFERENCES") != "" {
		t.Fatal("the program python3 is needed by this reference test and was not found")
	}
	if err != nil {
		t.Skip("the program python3 is not installed: reference test skipped")
	}
	return path
}

// Medians, deviations, slopes and quantiles against Python's statistics module.
func TestAgainstPythonStatistics(t *testing.T) {
	if testing.Short() {
		t.Skip("much arithmetic, in one goroutine")
	}
	t.Parallel()
	const script = `
import json, statistics as s, sys
x, y = json.load(sys.stdin)
m = s.median(x)
fit = s.linear_regression(x, y)
json.dump([m, s.median([abs(v - m) for v in x]) / s.NormalDist().inv_cdf(0.75),
           fit.slope, fit.intercept, s.NormalDist().inv_cdf(0.975), s.NormalDist().inv_cdf(0.9995)], sys.stdout)`
	rng := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{3, 4, 50, 301} {
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i], y[i] = rng.NormFloat64(), rng.NormFloat64()
		}
		in, err := json.Marshal([][]float64{x, y})
		if err != nil {
			t.Fatal(err)
		}
		cmd := exec.Command(python(t), "-c", script)
		pipe, err := cmd.StdinPipe()
		if err != nil {
			t.Fatal(err)
		}
		go func() { pipe.Write(in); pipe.Close() }()
		out, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		var want []float64
		if err := json.Unmarshal(out, &want); err != nil {
			t.Fatal(err)
		}
		l := FitLine(x, y)
		for i, got := range []float64{median(x), scaledMAD(x), l.Slope, l.Intercept, normalQuantile(0.975), normalQuantile(0.9995)} {
			near(t, "value "+string(rune('a'+i)), got, want[i], 1e-9)
		}
	}
}
