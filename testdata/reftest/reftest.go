// Package reftest is for tests alone: it finds the outside programs that they
// compare with (decoders, meters, a sound server) and marks those that take place
// in real time. Nothing that is shipped imports it.
package reftest

import (
	"os"
	"os/exec"
	"testing"
)

// RequireEnv names the environment variable that turns a missing reference
// program from a skipped test into a failed one. The continuous-integration
// script sets it to 1.
const RequireEnv = "DRYLANE_REQUIRE_REFERENCES"

// Tool returns the path of the named program. Where it is not installed the
// test is skipped, or fails if RequireEnv is set: a reference test never
// passes without its reference.
func Tool(t testing.TB, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		Missing(t, "the program "+name)
	}
	return path
}

// Missing ends the test because the named reference is not on this machine.
func Missing(t testing.TB, what string) {
	t.Helper()
	if os.Getenv(RequireEnv) != "" {
		t.Fatalf("%s is needed by this reference test and was not found", what)
	}
	t.Skipf("%s is not installed: reference test skipped", what)
}
