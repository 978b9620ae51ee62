package reftest

import (
	"fmt"
	"maps"
	"os"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"
)

// SoakEnv names the environment variable that asks for soaks, and says how long
// they are to be: 10m, 12h. .ci/soak sets it.
const SoakEnv = "DRYLANE_SOAK"

// Soak returns how long a soak is to last. The test is skipped where none is asked
// for.
func Soak(t testing.TB) time.Duration {
	t.Helper()
	text := os.Getenv(SoakEnv)
	if text == "" {
		t.Skipf("a soak: runs with %s=10m, or how long it is to be", SoakEnv)
	}
	length, err := time.ParseDuration(text)
	if err != nil || length < time.Second {
		t.Fatalf("%s: found %q; wanted a duration such as 10m", SoakEnv, text)
	}
	return length
}

// What a soak tolerates between its first tenth, when all is warm, and its end.
const (
	moreHeap       = 8 << 20
	moreGoroutines = 2
	moreFiles      = 2
)

// A Census counts what the process holds while a soak goes on.
type Census struct {
	t    testing.TB
	rows []row
}

type row struct {
	at                time.Duration
	heap, resident    int64 // bytes
	goroutines, files int
}

// NewCensus takes the first row.
func NewCensus(t testing.TB) *Census {
	c := &Census{t: t}
	c.Take(0)
	return c
}

// Take adds a row of what is held after so long. Files, and memory as the system
// counts it, are those of Linux and 0 elsewhere.
func (c *Census) Take(at time.Duration) {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	files, _ := os.ReadDir("/proc/self/fd")
	c.rows = append(c.rows, row{at, int64(m.HeapAlloc), resident(), runtime.NumGoroutine(), len(files)})
}

func resident() (bytes int64) {
	text, _ := os.ReadFile("/proc/self/status")
	for line := range strings.Lines(string(text)) {
		if n, _ := fmt.Sscanf(line, "VmRSS: %d kB", &bytes); n == 1 {
			return bytes << 10
		}
	}
	return 0
}

// Check prints the table, and is an error of the test where the last row holds more
// than the second, by which all was warm.
func (c *Census) Check() {
	c.t.Helper()
	var b strings.Builder
	fmt.Fprintf(&b, "\n%12s %10s %12s %12s %8s\n", "after", "heap MiB", "resident MiB", "goroutines", "files")
	for _, r := range c.rows {
		fmt.Fprintf(&b, "%12v %10.1f %12.1f %12d %8d\n", r.at.Round(time.Second), float64(r.heap)/(1<<20), float64(r.resident)/(1<<20), r.goroutines, r.files)
	}
	c.t.Log(b.String())
	warm, end := c.rows[min(1, len(c.rows)-1)], c.rows[len(c.rows)-1]
	if end.heap > warm.heap+moreHeap || end.goroutines > warm.goroutines+moreGoroutines || end.files > warm.files+moreFiles {
		c.t.Error("more is held at the end than at the start")
	}
}

// Happened prints how often what happened.
func Happened(t testing.TB, happened map[string]int) {
	t.Helper()
	var b strings.Builder
	for _, what := range slices.Sorted(maps.Keys(happened)) {
		fmt.Fprintf(&b, "\n%8d  %s", happened[what], what)
	}
	t.Log(b.String())
}
