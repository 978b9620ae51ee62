package phrase

import (
	"bytes"
	"reflect"
	"strings"
	"testing"
	"time"
)

func TestStore(t *testing.T) {
	s := &Score{Rate: rate, Length: 10 * rate, Changes: []Change{{2 * rate, 0.5}, {7 * rate, 0.25}}}
	var b bytes.Buffer
	if err := s.Write(&b); err != nil {
		t.Fatal(err)
	}
	got, err := Read(&b)
	if err != nil || !reflect.DeepEqual(got, s) {
		t.Errorf("%+v, %v; want %+v", got, err, s)
	}
	if want := []time.Duration{2 * time.Second, 7 * time.Second}; !reflect.DeepEqual(got.Times(), want) {
		t.Errorf("times %v, want %v", got.Times(), want)
	}
	for _, bad := range []string{"", "{}", `{"version":0,"rate":44100,"length":9}`, `{"version":1,"length":9}`,
		`{"version":1,"rate":1,"length":9,"changes":[{"at":9,"new":1}]}`,
		`{"version":1,"rate":1,"length":9,"changes":[{"at":5,"new":1},{"at":4,"new":1}]}`,
		`{"version":1,"rate":1,"length":9,"changes":[{"at":5,"new":-1}]}`} {
		if got, err := Read(strings.NewReader(bad)); err == nil {
			t.Errorf("%s: read as %+v", bad, got)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add(`{"version":1,"rate":44100,"length":441000,"changes":[{"at":88200,"new":0.5}]}`)
	f.Fuzz(func(t *testing.T, text string) {
		s, err := Read(strings.NewReader(text))
		if (s == nil) == (err == nil) {
			t.Fatalf("%v and %v", s, err)
		}
		for i := 1; s != nil && i < len(s.Changes); i++ {
			if s.Changes[i].At <= s.Changes[i-1].At || s.Changes[i].At >= s.Length {
				t.Errorf("out of order: %v", s.Changes)
			}
		}
	})
}
