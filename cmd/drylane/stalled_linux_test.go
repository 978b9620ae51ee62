package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// countedShow is the demo show with that many seconds of count-in.
func countedShow(t *testing.T, count int) string {
	t.Helper()
	const demo = "../../testdata/demo/show"
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(demo)); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "show.toml")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	counted := strings.Replace(string(text), "[console]\n", fmt.Sprintf("[console]\ncount_in = %d\n", count), 1)
	if err := os.WriteFile(path, []byte(counted), 0o600); err != nil {
		t.Fatal(err)
	}
	return dir
}

// openRun rehearses that show in a laggy terminal.
func openRun(t *testing.T, count int) *laggy {
	x := openLaggy(t, "rehearse", countedShow(t, count), "--out", "silent", "--log", "LOG")
	x.sees("SAFE")
	return x
}

// runTo presses keys, each when the one before has been done.
func (x *laggy) runTo(keys string) {
	x.t.Helper()
	for _, k := range keys {
		x.press(string(k))
		if k == 'a' { // nobody has said go: it is asked for twice
			time.Sleep(askedAgain)
			x.press(string(k))
		}
		kind := map[rune]string{'a': "armed", '\r': "started", ' ': "held"}[k]
		x.logs(kind)
	}
}

// resumes presses enter twice: the checklist is not ticked.
func (x *laggy) resumes() {
	x.press("\r")
	time.Sleep(askedAgain)
	x.press("\r")
}

// TestRealTimeStopInOneRead: enter and space arrive in one read, as over a link
// that lags: whatever the count-in, nothing runs.
func TestRealTimeStopInOneRead(t *testing.T) {
	for _, from := range []string{"a", "a\r "} {
		for _, count := range []int{0, 2} {
			t.Run(fmt.Sprintf("%d keys before, count-in %d", len(from), count), func(t *testing.T) {
				x := openRun(t, count)
				x.runTo(from)
				before := kinds(x.entries())
				x.press("\r ")
				time.Sleep(time.Duration(count)*time.Second + 500*time.Millisecond) // a count-in would be over
				switch list := x.entries(); list[len(list)-1].Kind {
				case "started", "resumed":
					t.Errorf("after %s enter and space came to %s", before, kinds(list))
				}
			})
		}
	}
}

// TestRealTimeStopBeforeAStalledReader: space half a second after enter, both
// before a terminal that takes nothing for 6 s: the hold comes at once and stands.
func TestRealTimeStopBeforeAStalledReader(t *testing.T) {
	for _, count := range []int{0, 2} {
		t.Run(fmt.Sprint("count-in ", count), func(t *testing.T) {
			x := openRun(t, count)
			x.runTo("a\r ")
			x.stall()
			before := kinds(x.entries())
			x.resumes()
			time.Sleep(500 * time.Millisecond)
			x.press(" ")
			time.Sleep(4500 * time.Millisecond)
			x.goOn()
			time.Sleep(time.Duration(count)*time.Second + 500*time.Millisecond)
			want := before + map[int]string{0: " refused resumed held", 2: " refused"}[count]
			if got := kinds(x.entries()); got != want {
				t.Fatalf("the log has %s, want %s", got, want)
			}
			if count == 0 {
				list := x.entries()
				if d := list[len(list)-1].Wall.Sub(list[len(list)-2].Wall); d > 2*time.Second {
					t.Errorf("held %v after it was resumed", d)
				}
			}
		})
	}
}

// TestRealTimeKeysBeforeAStalledReader: stand down, bring back, hold and cut are
// done although the terminal takes nothing.
func TestRealTimeKeysBeforeAStalledReader(t *testing.T) {
	x := openRun(t, 0)
	x.runTo("a\r")
	x.stall()
	for _, k := range []struct{ key, kind string }{{"d", "stood down"}, {"b", "brought back"}, {"\x1b[B", ""}, {"d", "stood down"}, {" ", "held"}, {"\r", "refused"}, {"\r", "resumed"}, {"\x7f", "cut"}} {
		if k.kind == "resumed" {
			time.Sleep(askedAgain)
		}
		if x.press(k.key); k.kind == "" {
			continue
		}
		if e := x.logs(k.kind); e.Kind == "brought back" && e.Data.Name != "Mole" {
			t.Errorf("%+v", e.Data)
		}
	}
	down := ""
	for _, e := range x.entries() {
		if e.Kind == "stood down" {
			down += e.Data.Name + " "
		}
	}
	if down != "Mole Quay " {
		t.Errorf("stood down: %s", down)
	}
}

// TestRealTimeSignalsBeforeAStalledReader: a signal ends the program, with its log
// closed and the exit code that it has before a terminal that reads.
func TestRealTimeSignalsBeforeAStalledReader(t *testing.T) {
	night := func(t *testing.T) *laggy {
		x := openLaggy(t, "rehearse", countedShow(t, 0), countedShow(t, 2), "--out", "silent")
		x.sees("THE NIGHT")
		return x
	}
	screens := map[string]func(t *testing.T) *laggy{
		"safe":    func(t *testing.T) *laggy { return openRun(t, 0) },
		"running": func(t *testing.T) *laggy { x := openRun(t, 0); x.runTo("a\r"); return x },
		"held":    func(t *testing.T) *laggy { x := openRun(t, 2); x.runTo("a\r "); return x },
		"night":   night,
		"night, a show open": func(t *testing.T) *laggy {
			x := night(t)
			x.press("\r")
			x.sees("SAFE")
			return x
		},
		"sound check": func(t *testing.T) *laggy {
			x := openLaggy(t, "soundcheck", countedShow(t, 0))
			x.sees("SOUND CHECK")
			return x
		},
		"guide": func(t *testing.T) *laggy {
			x := openLaggy(t, "import", "../../testdata/demo/show/cues.csv", "--guide", "--to", filepath.Join(t.TempDir(), "new"))
			x.sees("effect_at")
			return x
		},
	}
	for name, open := range screens {
		t.Run(name, func(t *testing.T) {
			reads := open(t)
			reads.cmd.Process.Signal(syscall.SIGTERM)
			want := reads.ends()
			for _, sig := range []syscall.Signal{syscall.SIGTERM, syscall.SIGHUP} {
				x := open(t)
				x.stall()
				began := time.Now()
				x.cmd.Process.Signal(sig)
				if code := x.ends(); code != want {
					t.Errorf("%v: exit code %d; before a terminal that reads %d", sig, code, want)
				}
				t.Logf("%v: ended in %v, exit code %d", sig, time.Since(began).Round(10*time.Millisecond), want)
				x.goOn()
				x.sees("\x1b[?1049l") // what stood there before is back
				if list := x.entries(); len(list) > 0 && list[len(list)-1].Kind != "closed" {
					t.Errorf("%v: the log ends with %s", sig, kinds(list))
				}
			}
		})
	}
}
