package check

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"drylane/show"
)

// BenchmarkCheck reads and checks a show of 50,000 cues, a fifth of which have
// something wrong with them.
func BenchmarkCheck(b *testing.B) {
	var cues strings.Builder
	cues.WriteString("cue,effect_at,prefire,position,module,pin,effect,caliber_mm,burn\n")
	for i := range 50_000 {
		prefire := 3.0
		if i%5 == 0 {
			prefire = float64(i%1000) / 1000
		}
		fmt.Fprintf(&cues, "%d,%.3f,%.3f,P%d,M%d,%d,red peony shell,75,2\n", i+1, 10+float64(i)*0.035, prefire, i%50, i%500, i/500+1)
	}
	folder := fstest.MapFS{
		"cues.csv":  {Data: []byte(cues.String())},
		"show.toml": {Data: []byte("cues = \"cues.csv\"\nsoundtrack.file = \"a.wav\"\n")},
	}
	b.ReportAllocs()
	for b.Loop() {
		sh, problems := show.Read(folder)
		got := Run(&Facts{Show: sh, Problems: problems, Music: Audio{File: "a.wav", Rate: 48000, Channels: 2, Length: time.Hour}})
		if len(sh.Cues) != 50_000 || len(got) == 0 {
			b.Fatal(len(sh.Cues), len(got))
		}
	}
}
