package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"syscall"
	"testing"
	"time"

	"drylane/testdata/reftest"
)

// BenchmarkDrawn is the time from the start of the program to the first picture of a
// console, as a whole process on a terminal 120 columns wide without a sound server: of
// a show of 10,000 cues on a 30-minute MP3, the first time and when it is known, and of
// the demo. median-ms is the figure; cpu-ms is what the process had used by then.
//
//	go test ./cmd/drylane -run '^$' -bench Drawn -benchtime 20x
func BenchmarkDrawn(b *testing.B) {
	binary, err := builtBinary()
	if err != nil {
		b.Fatal(err)
	}
	big := reftest.BigShow(b)
	home := b.TempDir()
	seen := filepath.Join(home, "drylane", "shown-first")
	if err := os.MkdirAll(filepath.Dir(seen), 0o700); err != nil {
		b.Fatal(err)
	}
	if err := os.WriteFile(seen, nil, 0o600); err != nil {
		b.Fatal(err)
	}
	review := exec.Command(binary, "review", big)
	review.Env = append(os.Environ(), "XDG_CACHE_HOME="+home)
	if out, err := review.CombinedOutput(); err != nil {
		b.Fatalf("%v: %s", err, out)
	}
	for _, c := range []struct {
		name string
		args []string
	}{
		{"new", []string{"rehearse", big, "--no-cache"}}, {"known", []string{"rehearse", big}}, {"demo", []string{"demo"}},
	} {
		b.Run(c.name, func(b *testing.B) {
			var drawn []time.Duration
			var cpu time.Duration
			for b.Loop() {
				d, used := startOnPTY(b, home, binary, c.args...)
				drawn, cpu = append(drawn, d), cpu+used
			}
			slices.Sort(drawn)
			b.ReportMetric(drawn[len(drawn)/2].Seconds()*1000, "median-ms")
			b.ReportMetric(cpu.Seconds()*1000/float64(b.N), "cpu-ms")
		})
	}
}

// startOnPTY runs the program until it has drawn a console that is safe, and returns
// how long that took, and how long the process computed until it was killed then.
func startOnPTY(b *testing.B, home, binary string, args ...string) (drawn, cpu time.Duration) {
	b.Helper()
	master, slave := openPTY(b)
	defer master.Close()
	cmd := exec.Command(binary, args...)
	cmd.Env = append(os.Environ(), "HOME="+home, "XDG_DATA_HOME="+home, "XDG_STATE_HOME="+home, "XDG_CONFIG_HOME="+home, "XDG_CACHE_HOME="+home,
		"PULSE_SERVER=unix:"+home+"/none", "LANG=C.UTF-8", "TERM=tmux-256color", "COLORTERM=truecolor")
	cmd.Stdin, cmd.Stdout, cmd.Stderr = slave, slave, slave
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	start := time.Now()
	if err := cmd.Start(); err != nil {
		b.Fatal(err)
	}
	slave.Close()
	var all []byte
	for buf := make([]byte, 1<<16); !bytes.Contains(all, []byte("SAFE")); {
		n, err := master.Read(buf)
		if err != nil {
			b.Fatalf("it ended before a picture: %q", all)
		}
		all = append(all, buf[:n]...)
	}
	drawn = time.Since(start)
	cmd.Process.Kill()
	cmd.Wait()
	return drawn, cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
}
