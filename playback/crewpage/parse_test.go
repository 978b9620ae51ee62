package crewpage

import (
	"encoding/json"
	"reflect"
	"testing"
)

// FuzzParse: what reads as a request is one piece of JSON, and reads the same again.
func FuzzParse(f *testing.F) {
	f.Add([]byte(`{"drylane_page":1,"id":"0","secret":"1","code":"position-7M4Q-X2DK"}`))
	f.Add([]byte(`{"id":"0","secret":"1","what":"hold","data":{"call":1}}`))
	f.Add([]byte(`{"code":"trainer-"}`))
	f.Add([]byte(`{"what":"a"} {"what":"b"}`))
	f.Add([]byte("{\"data\":[[[[\n\t1]]]]}"))
	f.Fuzz(func(t *testing.T, data []byte) {
		again(t, data, new(Join), new(Join))
		again(t, data, new(Words), new(Words))
		var j Join
		if parse(data, &j) == nil && j.whole() == nil && j.Page != 1 {
			t.Errorf("%q is taken", data)
		}
	})
}

func again(t *testing.T, data []byte, v, w any) {
	if parse(data, v) != nil {
		return
	}
	written, err := json.Marshal(v)
	if err != nil || parse(written, w) != nil {
		t.Fatalf("%q is read as %+v, which is not read again: %v", data, v, err)
	}
	if rewritten, _ := json.Marshal(w); !reflect.DeepEqual(written, rewritten) {
		t.Errorf("%q is read as %s, and that as %s", data, written, rewritten)
	}
}
