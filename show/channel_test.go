package show

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"drylane/show/timebase"

	"pgregory.net/rapid"
)

func TestParseChannel(t *testing.T) {
	for text, want := range map[string]Channel{
		"music":                       {Source: ChannelMusic, Side: SideMono},
		"music left":                  {Source: ChannelMusic, Side: SideLeft},
		" music  right , gain -6 dB ": {Source: ChannelMusic, Side: SideRight, Gain: -6},
		"music mono, offset 0.5 s":    {Source: ChannelMusic, Side: SideMono, Offset: 500 * time.Millisecond},
		"music, offset -1.25s, gain 1.5dB, witness": {
			Source: ChannelMusic, Side: SideMono, Offset: -1250 * time.Millisecond, Gain: 1.5, Witness: true,
		},
		"timecode 25 01:00:00:00":                {Source: ChannelTimecode, Rate: timebase.FPS25, Start: timebase.Timecode{H: 1}, Level: -18},
		"timecode 25 01:00:00:00 -12 dB":         {Source: ChannelTimecode, Rate: timebase.FPS25, Start: timebase.Timecode{H: 1}, Level: -12},
		"timecode 29.97 drop 00:01:00;02":        {Source: ChannelTimecode, Rate: timebase.FPS2997Drop, Start: timebase.Timecode{M: 1, F: 2, Drop: true}, Level: -18},
		"timecode 29.97 00:10:00;00":             {Source: ChannelTimecode, Rate: timebase.FPS2997Drop, Start: timebase.Timecode{M: 10, Drop: true}, Level: -18},
		"timecode 29.97 00:01:00:00":             {Source: ChannelTimecode, Rate: timebase.FPS2997, Start: timebase.Timecode{M: 1}, Level: -18},
		"timecode 23.976 23:59:59:23, gain 1 dB": {Source: ChannelTimecode, Rate: timebase.FPS23976, Start: timebase.Timecode{H: 23, M: 59, S: 59, F: 23}, Level: -18, Gain: 1},
		"calls Beacon":                           {Source: ChannelCalls, Position: "Beacon"},
		"calls":                                  {Source: ChannelCalls},
		"pips Barge two, gain -3 dB":             {Source: ChannelPips, Position: "Barge two", Gain: -3},
		`calls "Beacon, east"`:                   {Source: ChannelCalls, Position: "Beacon, east"},
		"tone 1000 Hz":                           {Source: ChannelTone, Hz: 1000, Level: -18},
		"tone 440.125 Hz -20.5 dB":               {Source: ChannelTone, Hz: 440.125, Level: -20.5},
		"silence":                                {Source: ChannelSilence},
	} {
		c, err := ParseChannel(text)
		if err != nil || c != want {
			t.Errorf("%q: %+v, %v; want %+v", text, c, err, want)
			continue
		}
		if again, err := ParseChannel(c.String()); err != nil || again != c {
			t.Errorf("%q reads back from %q as %+v, %v", text, c.String(), again, err)
		}
	}
}

// What a channel carries is each rate's own label, and only those.
func TestChannelTimecode(t *testing.T) {
	for _, r := range timebase.Rates {
		for _, k := range []int64{0, 1, 1798, 1799, 1800, 17982, r.DayFrames() - 1} {
			c, err := ParseChannel("timecode " + r.String() + " " + r.Timecode(k).String())
			if err != nil || c.Rate != r || c.Start != r.Timecode(k) {
				t.Errorf("%s %s reads as %s %s, %v", r, r.Timecode(k), c.Rate, c.Start, err)
			}
		}
	}
}

func TestParseChannelRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"":                                 `found the source ""; wanted one of music`,
		"muzic left":                       `found the source "muzic"; wanted one of music, timecode, calls, pips, tone, silence; did you mean "music"?`,
		"music up":                         `found "up" after music; wanted left, right or mono`,
		"music left gain -6 dB":            `found "left gain -6 dB" after music`,
		"music,":                           `found nothing after a comma`,
		"music, gian -6 dB":                `found the option "gian -6 dB"; wanted gain -6 dB, offset 0.5 s or, for music, witness; did you mean "gain"?`,
		"music, gain -6 dB, gain -6 dB":    `found the option "gain" twice`,
		"music, witness, witness":          `found the option "witness" twice`,
		"music, gain -6":                   `found "-6" as a gain; wanted -60 to 20 dB, with at most 2 decimals`,
		"music, gain 21 dB":                `found "21 dB" as a gain`,
		"music, gain 1e1 dB":               `found "1e1 dB" as a gain`,
		"music, gain --1 dB":               `found "--1 dB" as a gain`,
		"music, offset 61 s":               `found "61 s" as an offset; wanted -60 to 60 s, with at most 3 decimals`,
		"music, offset 0.0001 s":           `found "0.0001 s" as an offset`,
		"music, offset 5 ms":               `found "5 ms" as an offset`,
		"silence, witness":                 `found "witness" on silence`,
		"silence now":                      `found "now" after silence`,
		"timecode":                         `found timecode without a rate`,
		"timecode 26 01:00:00:00":          `found the timecode rate "26"; wanted 23.976, 24, 25, 29.97, 29.97 drop or 30`,
		"timecode 25 drop 01:00:00;00":     `found the timecode rate "25 drop"`,
		"timecode 25":                      `found timecode without the label`,
		"timecode 25 1:00:00:00":           `found the timecode label "1:00:00:00"; wanted hh:mm:ss:ff at 25`,
		"timecode 25 01:00:00:25":          `found the timecode label "01:00:00:25"; wanted 00:00:00:00 to 23:59:59:24 at 25`,
		"timecode 25 24:00:00:00":          `wanted 00:00:00:00 to 23:59:59:24`,
		"timecode 25 01:00:00;00":          `wanted hh:mm:ss:ff at 25`,
		"timecode 29.97 drop 00:01:00:02":  `wanted hh:mm:ss;ff at 29.97 drop`,
		"timecode 29.97 drop 00:01:00;01":  `wanted a frame from 02 on`,
		"timecode 25 01:00:00:00 0 dB":     `found "0 dB" as a level; wanted -60 to -0.1 dB`,
		"timecode 25 01:00:00:00 -12 Hz":   `found "-12 Hz" as a level`,
		"tone 1000 Hz -3 dB, gain 3 dB":    `found a level of 0 dB with its gain; wanted at most -0.1 dB`,
		"tone":                             `found a tone of ""; wanted a frequency`,
		"tone 1 kHz":                       `found "1 kHz" as a tone; wanted 20 to 20000 Hz`,
		`calls "Beacon`:                    `found "\"Beacon" without its second quote`,
		`calls "Beacon" east`:              `found "\"Beacon\" east" as a position`,
		`calls ""`:                         `found "\"\"" as a position`,
		"calls \"a\\u202eb\"":              `as a position; wanted the name of a position`,
		"calls " + strings.Repeat(",", 10): `found nothing after a comma`,
	} {
		_, err := ParseChannel(text)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v\nwant %s", text, err, want)
		}
	}
}

func TestTrackProblems(t *testing.T) {
	hand := "[[position]]\nname = \"A\"\nhand_fired = true\n[[position]]\nname = \"Beacon\"\n[[track]]\nfile = \"a.wav\"\n"
	for _, c := range []struct{ name, toml, want string }{
		{"channel", hand + "  left = \"muzic\"", `value show.toml:12:3: found the source "muzic" as left; wanted one of music`},
		{"second", hand + "[[track]]\nfile = \"b.wav\"\nright = \"tone\"", `value show.toml:14:1: found a tone of "" as right`},
		{"position", hand + "left = \"calls beacon\"", `unknown show.toml:12:1: found the position "beacon" as left; wanted one of A, Beacon; did you mean "Beacon"?`},
		{"by wire", hand + "left = \"calls Beacon\"", `value show.toml:12:1: found calls for "Beacon", a position that is not hand-fired, as left`},
		{"nobody", "[[track]]\nfile = \"a.wav\"\nleft = \"pips\"", `missing show.toml:7:1: found pips in a show with no hand-fired position as left`},
		{"witness", hand + "left = \"music left, witness\"", `missing show.toml:12:1: found the option witness in a show without one as left; wanted a table [witness]`},
		{"name", "[[track]]\nfile = \"a.mp3\"\nleft = \"silence\"", `value show.toml:6:1: found "a.mp3" as file; wanted a name that ends in .wav`},
		{"hand", hand + "left = \"calls A\"\nright = \"pips\"", ""},
		{"made elsewhere", "[[track]]\nfile = \"a.mp3\"", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, problems := LoadAll(folderOf(smallShow+c.toml+"\n", oneCue))
			if c.want == "" {
				wantProblems(t, problems)
				return
			}
			wantProblems(t, problems, c.want)
		})
	}
}

func TestChannelRoundTrip(t *testing.T) {
	names := rapid.StringMatching(`[A-Za-zé,"'\\]([A-Za-z0-9é ,"'\\-]{0,20}[A-Za-z0-9,"'\\])?`)
	rapid.Check(t, func(t *rapid.T) {
		c := Channel{
			Source:   rapid.SampledFrom([]string{ChannelCalls, ChannelPips}).Draw(t, "source"),
			Position: names.Draw(t, "position"),
			Gain:     float64(rapid.IntRange(-6000, 2000).Draw(t, "gain")) / 100,
			Offset:   time.Duration(rapid.IntRange(-60_000, 60_000).Draw(t, "offset")) * time.Millisecond,
		}
		if got, err := ParseChannel(c.String()); err != nil || got != c {
			t.Fatalf("%q reads as %+v, %v; want %+v", c.String(), got, err, c)
		}
	})
}

func FuzzParseChannel(f *testing.F) {
	for _, s := range []string{
		"music left, gain -6 dB, offset 0.5 s, witness", "timecode 29.97 drop 01:00:00;00 -12 dB",
		`calls "Beacon, east", gain 1 dB`, "pips", "tone 1000 Hz -18 dB", "silence", "calls '",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		c, err := ParseChannel(text)
		if err != nil {
			if c != (Channel{}) || !strings.Contains(err.Error(), "; wanted ") {
				t.Errorf("%q: %+v, %v", text, c, err)
			}
			return
		}
		if again, err := ParseChannel(c.String()); err != nil || again != c {
			t.Errorf("%q reads back from %q as %+v, %v", fmt.Sprintf("%+v", c), c.String(), again, err)
		}
	})
}

// TestCallsOf: whose calls are on which side.
func TestCallsOf(t *testing.T) {
	for _, tt := range []struct {
		left, right string
		want        [2]string
	}{
		{"calls Beacon", "pips Quay, gain -6 dB", [2]string{"Beacon", "Quay"}},
		{`calls "Quay, east"`, "calls", [2]string{"Quay, east", ""}}, // those of every position are nobody's
		{"music left", "timecode 25 01:00:00:00", [2]string{}},
		{"", "calls Beacon, loud", [2]string{}},
	} {
		if got := (Track{Left: tt.left, Right: tt.right}).CallsOf(); got != tt.want {
			t.Errorf("%q and %q: %q, want %q", tt.left, tt.right, got, tt.want)
		}
	}
}

func TestIsDigits(t *testing.T) {
	for s, want := range map[string]bool{"": false, "0": true, "123456789": true, "1234567890": false, "12a": false, "-1": false} {
		if isDigits(s) != want {
			t.Errorf("%q: %v", s, !want)
		}
	}
}
