package board

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestParseMark(t *testing.T) {
	for _, c := range []struct {
		text, device string
		fault        Fault
	}{
		{"M1 missing", "M1", Missing},
		{"M1 ok", "M1", NoFault},
		{"left desk wrong file", "left desk", WrongFile},
		{"M1 ok missing", "M1 ok", Missing},
	} {
		if device, f, err := ParseMark(c.text); err != nil || device != c.device || f != c.fault {
			t.Errorf("%s: %q, %q, %v", c.text, device, f, err)
		}
	}
	for _, text := range []string{"", "M1", "missing", " missing", "M1 gone"} {
		if _, _, err := ParseMark(text); err == nil || !strings.Contains(err.Error(), "wanted a device and one of: ok, missing, late,") {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// A field that has been written and read again gives the same board.
func TestFieldRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := Field{Seed: rapid.Uint64().Draw(t, "seed"), Devices: devices()}
		f.Plants = Draw(f.Devices, f.Seed, 4)
		text, err := json.Marshal(f)
		if err != nil {
			t.Fatal(err)
		}
		var back Field
		if err := json.Unmarshal(text, &back); err != nil {
			t.Fatal(err)
		}
		at := time.Duration(rapid.Int64Range(0, int64(time.Hour)).Draw(t, "at"))
		if was, is := New(f).At(at), New(back).At(at); !reflect.DeepEqual(was, is) {
			t.Errorf("was %+v\nis  %+v", was, is)
		}
	})
}
