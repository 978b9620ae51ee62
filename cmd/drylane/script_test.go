package main

import (
	"flag"
	"os"
	"path/filepath"
	"testing"
	"time"

	"drylane/testdata/reftest"

	"github.com/rogpeppe/go-internal/testscript"
)

var updateScripts = flag.Bool("update", false, "write the expected output in the scripts anew")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"drylane": main})
}

// TestScripts runs the command line as a person would. Each script has a home
// of its own; there is no sound server in it.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:           "testdata/script",
		UpdateScripts: *updateScripts,
		Setup: func(e *testscript.Env) error {
			home := filepath.Join(e.WorkDir, "home")
			e.Setenv("HOME", home)
			for _, v := range []string{"XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME", "XDG_RUNTIME_DIR"} {
				e.Setenv(v, filepath.Join(home, v))
			}
			demo, err := filepath.Abs("../../testdata/demo/show")
			if err != nil {
				return err
			}
			e.Setenv("DEMO", demo)
			e.Setenv("PULSE_SERVER", "unix:"+filepath.Join(home, "none"))
			return os.MkdirAll(home, 0o700)
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"bytes": writeBytes,
			"await": awaitFile,
		},
	})
}

// awaitFile waits until a program in the background has written a file: await FILE.
func awaitFile(ts *testscript.TestScript, neg bool, args []string) {
	for limit := time.Now().Add(reftest.Patience); ; time.Sleep(10 * time.Millisecond) {
		if _, err := os.Stat(ts.MkAbs(args[0])); err == nil {
			return
		}
		if time.Now().After(limit) {
			ts.Fatalf("%s was never written", args[0])
		}
	}
}

// writeBytes makes a file of a size: bytes FILE COUNT CHARACTER. It is how a
// script makes what is too large to stand in it.
func writeBytes(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 3 {
		ts.Fatalf("usage: bytes FILE COUNT CHARACTER")
	}
	n := 0
	for _, r := range args[1] {
		n = n*10 + int(r-'0')
	}
	b := make([]byte, n)
	for i := range b {
		b[i] = args[2][0]
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), b, 0o600))
}
