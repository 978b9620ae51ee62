package main

import (
	"bufio"
	"fmt"
	"os"
	"path/filepath"
	"testing"
)

// TestPrintedInASCII: a terminal without UTF-8 is written to in ASCII, another one and
// a file as it stands.
func TestPrintedInASCII(t *testing.T) {
	master, slave := openPTY(t)
	defer master.Close()
	defer slave.Close()
	shown := bufio.NewReader(master)
	file, err := os.Create(filepath.Join(t.TempDir(), "file"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	const said = "Mühle: 0.3 s → 0.1 s"
	for locale, want := range map[string]string{"C": "Muehle: 0.3 s -> 0.1 s\r\n", "C.UTF-8": said + "\r\n"} {
		t.Setenv("LC_ALL", locale)
		fmt.Fprintln(printed(slave, slave), said)
		if got, err := shown.ReadString('\n'); got != want || err != nil {
			t.Errorf("%s: the terminal shows %q, %v; want %q", locale, got, err, want)
		}
		fmt.Fprintln(printed(file, file), said)
	}
	if got, err := os.ReadFile(file.Name()); string(got) != said+"\n"+said+"\n" {
		t.Errorf("the file has %q, %v", got, err)
	}
}
