package soundserver

import (
	"net"
	"reflect"
	"testing"
)

func TestServerAddresses(t *testing.T) {
	t.Setenv("XDG_RUNTIME_DIR", "/run/x")
	for _, c := range []struct {
		server string
		want   []serverAddress
	}{
		{"/tmp/s", []serverAddress{{"unix", "/tmp/s"}}},
		{"unix:/tmp/s tcp:stage:4000", []serverAddress{{"unix", "/tmp/s"}, {"tcp", "stage:4000"}}},
		{"stage", []serverAddress{{"tcp", "stage:4713"}}},
		{"stage:4000", []serverAddress{{"tcp", "stage:4000"}}},
		{"tcp6:[::1]", []serverAddress{{"tcp6", "[::1]:4713"}}},
		{"{no-such-host}unix:/tmp/s", nil},
	} {
		if got := serverAddresses(c.server); !reflect.DeepEqual(got, c.want) {
			t.Errorf("%q: %v, want %v", c.server, got, c.want)
		}
	}
	t.Setenv("PULSE_SERVER", "")
	if got := serverAddresses(""); len(got) != 2 || got[0].address != "/run/x/pulse/native" {
		t.Errorf("by default: %v", got)
	}
}

// TestNoneAnswers: where no server is, one line says where it was looked for.
func TestNoneAnswers(t *testing.T) {
	want := "no sound server (PulseAudio or PipeWire) answers: none is at /nowhere/1; none is at /nowhere/2"
	if _, _, err := Connect("unix:/nowhere/1 unix:/nowhere/2", "test", nil, nil); err == nil || err.Error() != want {
		t.Errorf("%v, want %s", err, want)
	}
}

func FuzzServerAddresses(f *testing.F) {
	for _, s := range []string{"/tmp/s", "{host}unix:/a tcp:b:1", "tcp6:[::1]:9", "{", "}", ":", "tcp:", "0[0"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, a := range serverAddresses(s) {
			if a.network == "unix" {
				continue
			}
			if _, _, err := net.SplitHostPort(a.address); err != nil {
				t.Errorf("%q: address %q cannot be dialled: %v", s, a.address, err)
			}
		}
	})
}
