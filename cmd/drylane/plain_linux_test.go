package main

import (
	"os"
	"strings"
	"testing"
	"time"
	"unicode"
)

// TestRealTimePlain: a rehearsal in line mode, at a real terminal: its keys do what
// they do on the console, and nothing is written but lines of text.
func TestRealTimePlain(t *testing.T) {
	x := openLaggy(t, "demo", "--plain", "--out", "silent", "--log", "LOG")
	x.sees("SAFE. Harbour Evening")
	x.press("a") // nobody has said go: it is asked for twice
	x.sees("NOT DONE YET. ")
	time.Sleep(askedAgain)
	x.press("a")
	x.sees("ARMED. ")
	x.press("\r")
	x.sees("RUNNING from 0:00.0")
	x.press("n")
	x.sees("cue 1, Quay")
	x.press("\x1b[D")
	x.sees("EARLIER 0.1 s")
	x.press(" ")
	x.sees("To tick: ") // the last line of the hold
	x.press("t")
	x.sees("Ticked: ")
	x.press("\r")
	x.sees("NOT DONE YET. ")
	time.Sleep(askedAgain)
	x.press("\r")
	x.sees("RUNNING from 0:0")
	x.press("\x7f")
	x.sees("CUT at 0:0")
	x.logs("cut")
	x.press("q")
	x.sees("QUIT? The show is SAFE. NOBODY GOES IN for ")
	x.press("y")
	if code := x.ends(); code != exitOK {
		t.Errorf("it ended with %d", code)
	}
	x.mu.Lock()
	defer x.mu.Unlock()
	all := strings.ReplaceAll(x.all.String(), "\r\n", "\n")
	if !strings.Contains(all, "\nHELD at 0:0") || !strings.Contains(all, "\nHELD IS NOT SAFE TO ENTER\n") {
		t.Errorf("the hold was not told:\n%s", all)
	}
	for _, line := range strings.Split(all, "\n") {
		if i := strings.IndexFunc(line, func(r rune) bool { return unicode.IsControl(r) }); i >= 0 {
			t.Errorf("a control character at %d of %q", i, line)
		}
	}
}

// TestRealTimePlainStopsWhileNobodyReads: a hold is done while whoever reads the lines
// takes none.
func TestRealTimePlainStopsWhileNobodyReads(t *testing.T) {
	x := openLaggy(t, "demo", "--plain", "--out", "silent", "--log", "LOG")
	x.sees("SAFE")
	x.runTo("a\r")
	x.stalled.Store(true)
	for range 30 { // more lines than a terminal keeps
		x.press("??")
	}
	x.press(" ")
	x.logs("held") // before it can be said
	x.goOn()
	x.sees("HELD at ")
}

// TestRealTimePlainNight: a night of two shows in line mode, from its list into a show
// and back.
func TestRealTimePlainNight(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"/1-a", "/2-b"} {
		if err := os.CopyFS(dir+name, os.DirFS("../../testdata/demo/show")); err != nil {
			t.Fatal(err)
		}
	}
	x := openLaggy(t, "rehearse", dir, "--plain", "--out", "silent")
	x.sees("q quits.") // the last line of the list
	x.press("\x1b[B")
	x.sees("Show 2 of 2: Harbour Evening, ")
	x.press("\r")
	x.sees("SAFE. Harbour Evening")
	x.press("q")
	x.sees("Back to the list. Show 2 of 2: Harbour Evening, ")
	x.press("q")
	if code := x.ends(); code != exitOK {
		t.Errorf("it ended with %d", code)
	}
}
