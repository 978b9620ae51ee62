package session

import (
	"bytes"
	"reflect"
	"strings"
	"testing"
)

// TestFormat2: a cue that came due while it was stood down is skipped, also in a
// log that calls it passed; the log is run again as it was.
func TestFormat2(t *testing.T) {
	t.Parallel()
	text := string(sample(t))
	want, err := Read(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	old := strings.NewReplacer(`"drylane_session":3`, `"drylane_session":2`, `"kind":"skipped"`, `"kind":"passed"`).Replace(text)
	if n := strings.Count(old, `"passed"`); n < 2 || strings.Contains(old, `"skipped"`) {
		t.Fatalf("the old log has %d cues that passed; wanted some, and none that was skipped:\n%s", n, old)
	}
	got, err := Read(bytes.NewReader([]byte(old)))
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(got.Entries, want.Entries) {
		t.Errorf("got  %+v\nwant %+v", got.Entries, want.Entries)
	}
	if agreed, err := Replay(got); err != nil || agreed < 10 {
		t.Errorf("%d events agreed, error %v", agreed, err)
	}
}
