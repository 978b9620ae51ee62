package show_test

import (
	"fmt"
	"testing/fstest"

	"drylane/show"
)

func ExampleLoad() {
	folder := fstest.MapFS{
		"show.toml": {Data: []byte(`
title = "Harbour"
cues = "cues.csv"
[soundtrack]
file = "soundtrack.wav"
[console]
gaurd = "150ms"
`)},
		"cues.csv": {Data: []byte(`cue,effect_at,prefire,position
1,5.000,,North
2,1:7x.3,2.2,North
`)},
	}
	_, err := show.Load(folder)
	fmt.Println(err)
	// Output:
	// show.toml:7:1: found the unknown key "gaurd" under [console]; wanted one of guard, nudge_limit, lanes, checklist, count_in, together; did you mean "guard"?
	// cues.csv:3:3: found "1:7x.3" as effect_at; wanted seconds such as 83.250 or m:ss.mmm
}
