package reftest

import (
	"os"
	"strings"
	"testing"
	"time"
)

// Tests in real time play on a sound server, type into a terminal or kill runs,
// and are judged by what the machine made of it while they did. They form a lane
// of their own, in which one test runs at a time and nothing beside it:
//
//	DRYLANE_REALTIME=1 go test -p 1 -run '^TestRealTime' ./...
//
// Everywhere else they are skipped.
const (
	// RealTimeEnv names the environment variable that asks for the lane.
	RealTimeEnv = "DRYLANE_REALTIME"
	// realTimeName begins the name of every test of the lane, and of no other.
	realTimeName = "TestRealTime"
)

// What tests in real time tolerate of a machine that has other work, and all that
// they do. Where the program itself counts what went wrong (a device that ran dry,
// a hold that came late, each a line of the log), tests hold it to that count.
const (
	// Tries is how often a proof is made at most. One whose recording has itself
	// lost sound, or in which the machine was late, proves nothing and is made
	// again; the last one is judged as it is. Alone on two cores the first try
	// does; the others are for a machine that is shared.
	Tries = 5
	// Late is how many of twenty starts, or forty holds, of two streams at one
	// moment may come late: the server is asked some 10 ms ahead, and a machine
	// that looks away for longer is late for that one and in time for the next.
	Late = 2
	// Patience is how long a test waits for what must come. Nothing is measured
	// by it: it only ends a test that hangs.
	Patience = 30 * time.Second
)

// RealTime marks a test as one of the lane: it is skipped where the lane is not
// asked for, and fails where its name would not let the lane find it.
func RealTime(t testing.TB) {
	t.Helper()
	if !strings.HasPrefix(t.Name(), realTimeName) {
		t.Fatalf("%s takes place in real time: its name must begin with %s", t.Name(), realTimeName)
	}
	if os.Getenv(RealTimeEnv) == "" {
		t.Skipf("in real time: runs with %s=1", RealTimeEnv)
	}
}
