package show

import (
	"strings"
	"testing"
	"time"

	"drylane/show/timebase"
)

func TestFollow(t *testing.T) {
	const cues = "cue,effect_at,position\n1,1,A\n"
	load := func(toml string) (*Show, error) {
		return Load(folderOf("cues = \"cues.csv\"\n[soundtrack]\nfile = \"soundtrack.wav\"\n"+toml, cues))
	}
	hour := timebase.Timecode{H: 1}
	drop := timebase.Timecode{H: 1, Drop: true}
	for _, row := range []struct {
		toml string
		want Follow
		err  string
	}{
		{"", Follow{Carry: 200 * time.Millisecond}, ""},
		{"[follow]\nfrom = \"01:00:00:00\"", Follow{hour, 0, 200 * time.Millisecond}, ""},
		{"[follow]\nfrom = \"01:00:00:00\"\nrate = \"25\"\ncarry = \"150ms\"", Follow{hour, timebase.FPS25, 150 * time.Millisecond}, ""},
		{"[follow]\nfrom = \"01:00:00;00\"", Follow{drop, timebase.FPS2997Drop, 200 * time.Millisecond}, ""},
		{"[[track]]\nfile = \"a.wav\"\nleft = \"music\"\nright = \"timecode 25 01:00:00:00\"", Follow{hour, timebase.FPS25, 200 * time.Millisecond}, ""},
		{"[[track]]\nfile = \"a.wav\"\nleft = \"timecode 25 01:00:00:00, offset 1 s\"\nright = \"music\"", Follow{Carry: 200 * time.Millisecond}, ""},
		{"[follow]\nfrom = \"1:00\"", Follow{}, `found "1:00" as from; wanted hh:mm:ss:ff`},
		{"[follow]\nfrom = \"01:00:00:25\"\nrate = \"25\"", Follow{}, "wanted 00:00:00:00 to 23:59:59:24 at 25"},
		{"[follow]\nrate = \"26\"", Follow{}, `found "26" as rate; wanted 23.976, 24`},
		{"[follow]\ncarry = \"50ms\"", Follow{}, "wanted 100ms to 1s"},
		{"[follow]\ncarri = \"50ms\"", Follow{}, "carry"},
	} {
		s, err := load(row.toml)
		switch {
		case row.err == "" && (err != nil || s.Following() != row.want):
			t.Errorf("%s: %v, %+v; want %+v", row.toml, err, s, row.want)
		case row.err != "" && (err == nil || !strings.Contains(err.Error(), row.err)):
			t.Errorf("%s: %v; want %q", row.toml, err, row.err)
		}
	}
}
