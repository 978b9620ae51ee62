package exchange

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show"
)

// convert reads and converts a text.
func convert(t testing.TB, text string, p Profile) *Result {
	t.Helper()
	res, err := Convert(read(t, text, p), p)
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// line is what a test looks at in a cue.
func line(c show.Cue) string {
	return fmt.Sprintf("%s|%v|%v|%s|%s|%d|%s|%g|%v|%s", c.ID, c.EffectAt, c.Prefire, c.Position, c.Module, c.Pin, c.Effect, c.Caliber, c.Burn, c.Note)
}

func TestConvert(t *testing.T) {
	for _, c := range []struct {
		name, text string
		set        func(p *Profile)
		want       []string
		skipped    int
	}{
		{
			name: "our own names in any order and spelling",
			text: "Position,Effect at,CUE,caliber (mm),pre-fire,Prefire,module,pin,effect,burn,note\nA,1:05.5,7,75,9,2.2,M1,3,red peony shell,2.5,x\n",
			want: []string{"7|1m5.5s|2.2s|A|M1|3|red peony shell|75|2.5s|x"},
		},
		{
			name: "by name and number, semicolons and decimal commas",
			text: "No.;Break (s);Lead;Site\n1;12,5;2,25;Left\n",
			set: func(p *Profile) {
				for _, m := range []string{"cue=1", "effect_at=Break (s)", "prefire=lead", "position=4"} {
					p.SetMap(m)
				}
			},
			want: []string{"1|12.5s|2.25s|Left||0||0|0s|"},
		},
		{
			name: "ignition times",
			text: "cue,effect_at,prefire,position\n1,10,2.2,A\n2,0,1,A\n",
			set:  func(p *Profile) { p.Times = TimesIgnition },
			want: []string{"1|12.2s|2.2s|A||0||0|0s|", "2|1s|1s|A||0||0|0s|"},
		},
		{
			name:    "effect times whose ignition would come too early",
			text:    "cue,effect_at,prefire,position\n1,2,2.2,A\n",
			skipped: 1,
		},
		{
			name: "timecode that starts at one hour, prefire in frames",
			text: "cue,effect_at,prefire,position\n1,01:00:10:12,55,A\n2,00:59:59:24,0,A\n",
			set: func(p *Profile) {
				p.Notation, p.Rate, p.Zero, p.PrefireUnit = Frames, "25", "1:00:00:00", Frames
			},
			want:    []string{"1|10.48s|2.2s|A||0||0|0s|"},
			skipped: 1,
		},
		{
			name: "milliseconds",
			text: "cue,effect_at,prefire,burn,position\n1,10480,2200,500,A\n",
			set: func(p *Profile) {
				p.Notation, p.PrefireUnit, p.BurnUnit = Milliseconds, Milliseconds, Milliseconds
			},
			want: []string{"1|10.48s|2.2s|A||0||0|500ms|"},
		},
		{
			// 1 inch is 25.4 mm by definition.
			name: "calibers",
			text: "cue,effect_at,position,caliber\n1,5,A,3\"\n2,5,A,75 mm\n3,5,A,4\n4,5,A,30mm\n",
			set:  func(p *Profile) { p.CaliberUnit = Inches },
			want: []string{"1|5s|0s|A||0||76.2|0s|", "2|5s|0s|A||0||75|0s|", "3|5s|0s|A||0||101.6|0s|", "4|5s|0s|A||0||30|0s|"},
		},
		{
			name: "what cannot be read and is not needed is kept in the note",
			text: "cue,effect_at,position,module,pin,caliber,burn,note\n1,5,A,M1,A3,big,long,x\n",
			want: []string{"1|5s|0s|A|M1|0||0|0s|x; burn: long; pin: A3; caliber_mm: big"},
		},
		{
			name: "ids taken and missing",
			text: "cue,effect_at,position\n1,5,A\n1,6,A\n1-2,7,A\n1,8,A\n,9,A\n",
			want: []string{"1|5s|0s|A||0||0|0s|", "1-2|6s|0s|A||0||0|0s|", "1-2-2|7s|0s|A||0||0|0s|", "1-3|8s|0s|A||0||0|0s|", "row-6|9s|0s|A||0||0|0s|"},
		},
		{
			name: "numbers where there are no ids, fills, and a column left empty",
			text: "effect_at,note\n5,x\n6,y\n",
			set: func(p *Profile) {
				p.SetFill("position=Left")
				p.SetMap("note=")
			},
			want: []string{"1|5s|0s|Left||0||0|0s|", "2|6s|0s|Left||0||0|0s|"},
		},
		{
			name: "a note of several columns, a text behind an apostrophe, and hidden characters",
			text: "cue,effect_at,position,Angle,Remark\n1,5,A,'-20,a\u202eb\n2,6,A,,z\n",
			set: func(p *Profile) {
				p.SetMap("note=Angle")
				p.SetMap("note=Remark")
			},
			want: []string{"1|5s|0s|A||0||0|0s|-20; ab", "2|6s|0s|A||0||0|0s|z"},
		},
		{
			name:    "rows that are none",
			text:    "cue,effect_at,position\n1,5,A\n,,\nTotal,,\n2,soon,A\n3,5,\n4,5,A,B\n5,-1,A\n6,7\n",
			want:    []string{"1|5s|0s|A||0||0|0s|"},
			skipped: 6,
		},
		{
			name: "the time of ignition in place of a prefire, by the same clock",
			text: "cue,Fire,Break,position,effect\n1,1:00:10.3,1:00:12.5,A,red peony shell\n2,1:00:13,1:00:13,A,mine\n3,,1:00:14,A,comet\n4,1:00:16,1:00:15,A,mine\n5,0:59:59,1:00:01,A,mine\n6,soon,1:00:20,A,mine\n",
			set: func(p *Profile) {
				p.Zero = "1:00:00"
				p.SetMap("effect_at=Break")
				p.SetMap("ignite_at=Fire")
			},
			want:    []string{"1|12.5s|2.2s|A||0|red peony shell|0|0s|", "2|13s|0s|A||0|mine|0|0s|", "3|14s|0s|A||0|comet|0|0s|"},
			skipped: 3,
		},
		{
			name: "the time of ignition by its own name, where there is no prefire",
			text: "cue,effect_at,ignite_at,position\n1,10,8,A\n",
			want: []string{"1|10s|2s|A||0||0|0s|"},
		},
		{
			name: "the time of ignition, and a prefire that is not asked for",
			text: "cue,effect_at,prefire,ignite_at,position\n1,10,1,8,A\n",
			set:  func(p *Profile) { p.SetMap("ignite_at=4") },
			want: []string{"1|10s|2s|A||0||0|0s|"},
		},
		{
			name: "a prefire by its own name outranks the time of ignition",
			text: "cue,effect_at,prefire,ignite_at,position\n1,10,1,8,A\n",
			want: []string{"1|10s|1s|A||0||0|0s|"},
		},
		{
			name:    "a prefire that cannot be read forbids the cue",
			text:    "cue,effect_at,prefire,position\n1,5,two,A\n",
			skipped: 1,
		},
	} {
		var p Profile
		if c.set != nil {
			c.set(&p)
		}
		res := convert(t, c.text, p)
		var got []string
		for _, cue := range res.Cues {
			got = append(got, line(cue))
		}
		if !slices.Equal(got, c.want) || len(res.Skipped) != c.skipped {
			t.Errorf("%s:\ngot  %q\nwant %q\nskipped %+v", c.name, got, c.want, res.Skipped)
		}
	}
}

// TestNothingIsLost: every row is a cue, is skipped with a reason, or is blank.
func TestNothingIsLost(t *testing.T) {
	res := convert(t, "title\ncue,effect_at,position,Extra\n1,5,A,x\n,,,\n2,,A\n3,5,\"B\"y,\n4,1:02:03,A\n", Profile{})
	if n := len(res.Cues) + len(res.Skipped) + res.Blank; n != 6 {
		t.Errorf("%d rows accounted for; want 6: %+v", n, res)
	}
	for _, s := range res.Skipped {
		if s.Line == 0 || s.Text == "" || len(s.Problems) == 0 {
			t.Errorf("skipped without place, text or reason: %+v", s)
		}
	}
	if !slices.Equal(res.Unused, []string{"Extra"}) {
		t.Errorf("unused columns %q; want Extra", res.Unused)
	}
	if res.ThreeParts != 1 || res.Short != 1 {
		t.Errorf("three parts %d, short %d; want 1 of each", res.ThreeParts, res.Short)
	}
}

func TestRoundingIsCounted(t *testing.T) {
	res := convert(t, "cue,effect_at,position\n1,0:00:00:01,A\n2,0:00:01:00,A\n", Profile{Notation: Frames, Rate: "24"})
	// A frame at 24 a second is 41 2/3 ms.
	if got := res.Cues[0].EffectAt; got != 42*time.Millisecond || res.Rounded != 1 {
		t.Errorf("%v, %d rounded; want 42ms and one", got, res.Rounded)
	}
}

func TestConvertErrors(t *testing.T) {
	const text = "No.,At,At,Where\n1,5,6,A\n"
	for _, c := range []struct {
		name, text string
		maps       []string
		set        func(*Profile)
		want       []string
	}{
		{"nothing mapped", text, nil, nil, []string{`no column for effect_at; wanted --map effect_at=COLUMN, where COLUMN is one of "No.", "At"`, `--fill position="NAME"`}},
		{"name twice", text, []string{"effect_at=At", "position=Where"}, nil, []string{`the name "At" over columns 2 and 3 for effect_at; wanted the number`}},
		{"no such name", text, []string{"effect_at=When", "position=9"}, nil, []string{`no column "When" for effect_at`, "no column 9 for position; wanted one of the 4 columns"}},
		{"two columns for one", text, []string{"effect_at=2", "effect_at=3", "position=4"}, nil, []string{"2 columns for effect_at"}},
		{"names without a header", "1,5,A\n2,6,A\n", []string{"effect_at=At", "position=3"}, func(p *Profile) { p.Header = "none" }, []string{"no row with the columns' names"}},
		{"both decimals", "cue,effect_at,prefire,position\n1,5.5,\"2,2\",A\n", nil, nil, []string{"decimal points and numbers with decimal commas; wanted --decimal"}},
		{"settings", text, []string{"effect_at=2", "position=4"}, func(p *Profile) { p.Times, p.Rate, p.Notation = "fire", "26", "sundial" }, []string{`"fire" as times`, `"26" as rate`, `"sundial" as notation`}},
		{"frames without a rate", text, []string{"effect_at=2", "position=4"}, func(p *Profile) { p.Notation = Frames }, []string{"times in frames and no rate"}},
		{"prefire and ignition", text, []string{"effect_at=3", "prefire=1", "ignite_at=2", "position=4"}, nil, []string{"a column for prefire and one for ignite_at; wanted one of them"}},
		{"two ignitions", text, []string{"effect_at=3", "ignite_at=2", "position=4"}, func(p *Profile) { p.Times = TimesIgnition }, []string{"a column for ignite_at, and effect_at with the times of ignition"}},
		{"zero", text, []string{"effect_at=2", "position=4"}, func(p *Profile) { p.Zero = "noon" }, []string{`"noon" as zero`}},
	} {
		var p Profile
		for _, m := range c.maps {
			if err := p.SetMap(m); err != nil {
				t.Fatal(err)
			}
		}
		if c.set != nil {
			c.set(&p)
		}
		_, err := Convert(read(t, c.text, p), p)
		for _, want := range c.want {
			if err == nil || !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %v\nwant %q", c.name, err, want)
			}
		}
	}
}

// Mapping only the effect of a list that has the ignition too is told: the
// shells without a prefire are counted, and the column is known for a time.
func TestTimesLeftOut(t *testing.T) {
	const list = "Nr,Fire,Break,Where,What,Pin,Size,Angle,Lead,Clock\n" +
		"1,40.3,42.5,A,red peony shell,1,100,10,2.2,0:40\n2,51.0,53.5,A,blue willow shell,2,125,5,2.5,0:51\n3,64,64,A,mine,3,,7,0,1:04\n"
	p := Profile{}
	for _, m := range []string{"cue=Nr", "effect_at=Break", "position=Where", "effect=What", "pin=Pin", "caliber_mm=Size"} {
		if err := p.SetMap(m); err != nil {
			t.Fatal(err)
		}
	}
	res := convert(t, list, p)
	if res.Bare != 2 || res.Shells != 2 || !slices.Equal(res.Times, []string{"Fire", "Lead", "Clock"}) {
		t.Errorf("%d of %d shells without a prefire, times %q; want 2 of 2, Fire, Lead and Clock", res.Bare, res.Shells, res.Times)
	}
	if err := p.SetMap("ignite_at=Fire"); err != nil {
		t.Fatal(err)
	}
	if res = convert(t, list, p); res.Bare != 0 || slices.Contains(res.Times, "Fire") {
		t.Errorf("%d shells without a prefire, times %q; want none, and not Fire", res.Bare, res.Times)
	}
}
