package show

import (
	"fmt"
	"strings"
	"testing"
)

// manyCues is a cue list of n cues with every column in use.
func manyCues(n int) string {
	var b strings.Builder
	b.WriteString("cue,effect_at,prefire,position,module,pin,effect,caliber_mm,burn,note\n")
	for i := range n {
		fmt.Fprintf(&b, "%d,%d.%03d,2.2,P%d,M%d,%d,\"red peony, 75 mm shell\",75,2.5,bar %d\n", i, 5+i/50, i%1000, i%8, i%400, 1+i/400, i)
	}
	return b.String()
}

func BenchmarkLoad50000Cues(b *testing.B) {
	fsys := folderOf(smallShow, manyCues(50_000))
	b.SetBytes(int64(len(fsys["cues.csv"].Data)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Load(fsys); err != nil {
			b.Fatal(err)
		}
	}
}
