package screen

import (
	"math"
	"strconv"
	"testing"

	"github.com/lucasb-eyer/go-colorful"
	"github.com/muesli/termenv"
)

// contrast is the contrast ratio of two colours by WCAG 2.2, 1 to 21: the relative
// luminance of the lighter by that of the darker, each with 0.05 of stray light.
func contrast(a, b colorful.Color) float64 {
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// luminance is the relative luminance of WCAG 2.2, 0 to 1.
func luminance(c colorful.Color) float64 {
	linear := func(v float64) float64 {
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

// Colour blindness at its full severity, on linear RGB: Machado, Oliveira, Fernandes,
// A Physiologically-based Model for Simulation of Color Vision Deficiency, IEEE
// Transactions on Visualization and Computer Graphics 15 (2009), table of severity 1.0.
var blindness = map[string][3][3]float64{
	"protanopia":   {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deuteranopia": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritanopia":   {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
}

// seen is a colour as somebody sees it whose colour blindness m tells of.
func seen(c colorful.Color, m [3][3]float64) colorful.Color {
	r, g, b := c.LinearRgb()
	row := func(k int) float64 { return m[k][0]*r + m[k][1]*g + m[k][2]*b }
	return colorful.LinearRgb(row(0), row(1), row(2)).Clamped()
}

// apart is how far two colours look apart, as CIEDE2000 has it.
func apart(a, b colorful.Color) float64 { return 100 * a.DistanceCIEDE2000(b) }

func hex(t testing.TB, s string) colorful.Color {
	t.Helper()
	c, err := colorful.Hex(s)
	if err != nil {
		t.Fatalf("%q: %v", s, err)
	}
	return c
}

// pairs are what is told apart by its colour, among other things: no meaning hangs on
// that alone.
var pairs = []struct {
	what string
	a, b Style
}{
	{"held, running", BarHeld, BarRun},
	{"held, armed", BarHeld, BarArmed},
	{"held, safe", BarHeld, BarSafe},
	{"held, ended", BarHeld, BarEnded},
	{"armed, running", BarArmed, BarRun},
	{"armed, safe", BarArmed, BarSafe},
	{"running, safe", BarRun, BarSafe},
	{"alarm, normal", Alarm, Normal},
	{"alarm, caution", Alarm, Caution},
	{"alarm, good", Alarm, Good},
	{"caution, good", Caution, Good},
	{"caution, normal", Caution, Normal},
	{"clock held, running", ClockHeld, ClockRun},
	{"nudge on, none", NudgeOn, Strong},
	{"cue to come, over", Ignite, Gone},
	{"cue to come, stood down", Ignite, DownMark},
	{"stood down, over", DownMark, Gone},
	{"effect to come, over", Burst, Gone},
	{"burning, over", Burning, Gone},
	{"prefire, over", Lead, Gone},
	{"tap, beat", TapDot, BeatMark},
	{"meter low, hot", MeterLow, MeterHot},
	{"music to come, heard", WaveAhead, WavePast},
}

// grounds are the backgrounds that a theme is made for: of a terminal that is set up
// so, as the themes do not fill the screen. The night theme is for black.
var grounds = map[string][]string{"dark": {"#000000", "#1e1e1e"}, "light": {"#ffffff", "#f2f2f2"}, "night": {"#000000", "#0a0a0a"}}

// marks are the styles of what is drawn and not read; frames, rulers and empty tracks,
// which Faint draws, say nothing.
var marks = map[Style]bool{NowLine: true, WaveAhead: true, WaveEdge: true, WavePast: true, BeatMark: true, Ignite: true, Lead: true, Burst: true,
	Burning: true, Gone: true, MeterLow: true, MeterHot: true, TapDot: true}

// TestContrast: every ink can be read, or seen, on the backgrounds of its theme: by
// WCAG 2.2 4.5 for text (success criterion 1.4.3) and 3 for marks (1.4.11).
func TestContrast(t *testing.T) {
	t.Parallel()
	for name, list := range grounds {
		for s := range styleCount {
			if s == Faint {
				continue
			}
			want := 4.5
			if marks[s] {
				want = 3
			}
			for _, ground := range list {
				i := themes[name][s]
				if i.bg != "" {
					ground = i.bg
				}
				if got := contrast(hex(t, i.fg), hex(t, ground)); got < want {
					t.Errorf("%s: style %d, %s on %s, has a contrast of %.2f, want %.1f", name, s, i.fg, ground, got, want)
				}
			}
		}
	}
}

// The sixteen colours of two usual terminals: xterm's, and those of the text screen of
// a PC (from memory).
var palettes = map[string][16]string{
	"xterm": {"#000000", "#cd0000", "#00cd00", "#cdcd00", "#0000ee", "#cd00cd", "#00cdcd", "#e5e5e5", "#7f7f7f", "#ff0000", "#00ff00", "#ffff00", "#5c5cff", "#ff00ff", "#00ffff", "#ffffff"},
	"pc":    {"#000000", "#aa0000", "#00aa00", "#aa5500", "#0000aa", "#aa00aa", "#00aaaa", "#aaaaaa", "#555555", "#ff5555", "#55ff55", "#ffff55", "#5555ff", "#ff55ff", "#55ffff", "#ffffff"},
}

// TestContrastOfFewColours: what 256 or sixteen colours make of the inks can be read,
// too. Of sixteen the usual palettes are looked at: a user's own may be any.
func TestContrastOfFewColours(t *testing.T) {
	t.Parallel()
	for name, list := range grounds {
		for s := range styleCount {
			if s == Faint {
				continue
			}
			want, i := 4.5, themes[name][s]
			if marks[s] {
				want = 3
			}
			in256 := func(c string) colorful.Color {
				if c == "" {
					c = list[0]
				}
				return termenv.ConvertToRGB(termenv.ANSI256.Color(c))
			}
			if got := contrast(in256(i.fg), in256(i.bg)); got < want {
				t.Errorf("%s: style %d has a contrast of %.2f in 256 colours, want %.1f", name, s, got, want)
			}
			for palette, colours := range palettes {
				few := inSixteen(name, i)
				n, err := strconv.Atoi(few.fg)
				if err != nil || few.bg != "" {
					t.Fatalf("%s: style %d is %+v in sixteen colours", name, s, few)
				}
				if got := contrast(hex(t, colours[n]), hex(t, list[0])); got < want {
					t.Errorf("%s: style %d has a contrast of %.2f in the sixteen colours of %s, want %.1f", name, s, got, palette, want)
				}
			}
		}
	}
}

// clearly is how far apart two colours are that are not taken for each other beside
// each other, by CIEDE2000: some five times what is just noticed (common practice, no
// source).
const clearly = 10

// TestApartForTheColourBlind: what is told apart by its colour is so for whoever sees
// no red, no green or no blue as well, unless one of the two fills its cells.
func TestApartForTheColourBlind(t *testing.T) {
	t.Parallel()
	for name := range grounds {
		for _, p := range pairs {
			a, b := themes[name][p.a], themes[name][p.b]
			if (a.bg == "") != (b.bg == "") {
				continue
			}
			x, y := a.fg, b.fg
			if a.bg != "" {
				x, y = a.bg, b.bg
			}
			if got := apart(hex(t, x), hex(t, y)); got < clearly {
				t.Errorf("%s: %s are %.1f apart, %s and %s; want %d", name, p.what, got, x, y, clearly)
			}
			for of, m := range blindness {
				if got := apart(seen(hex(t, x), m), seen(hex(t, y), m)); got < clearly {
					t.Errorf("%s, %s: %s are %.1f apart, %s and %s; want %d", name, of, p.what, got, x, y, clearly)
				}
			}
		}
	}
}

// TestContrastFormula against worked figures: black on white and equal colours, WCAG's
// two ends; #767676 on white is the lightest grey that passes for text, and #949494
// for marks (from memory).
func TestContrastFormula(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		a, b string
		want float64
	}{{"#000000", "#ffffff", 21}, {"#35c48d", "#35c48d", 1}, {"#767676", "#ffffff", 4.54}, {"#777777", "#ffffff", 4.48}, {"#949494", "#ffffff", 3.03}} {
		if got := contrast(hex(t, tt.a), hex(t, tt.b)); math.Abs(got-tt.want) > 0.005 {
			t.Errorf("%s on %s: %.3f, want %.2f", tt.a, tt.b, got, tt.want)
		}
	}
}

// TestApartAsPublished: Sharma, Wu, Dalal, The CIEDE2000 Color-Difference Formula,
// Color Research and Application 30 (2005), table 1.
func TestApartAsPublished(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ l1, a1, b1, l2, a2, b2, want float64 }{
		{50, 2.6772, -79.7751, 50, 0, -82.7485, 2.0425},
		{50, 3.1571, -77.2803, 50, 0, -82.7485, 2.8615},
		{50, 2.8361, -74.0200, 50, 0, -82.7485, 3.4412},
		{50, -1.3802, -84.2814, 50, 0, -82.7485, 1.0000},
		{50, 2.5, 0, 73, 25, -18, 27.1492},
		{50, 2.5, 0, 61, -5, 29, 22.8977},
		{50, 2.5, 0, 56, -27, -3, 31.9030},
		{50, 2.5, 0, 58, 24, 15, 19.4535},
	} {
		// In the library's units, and where the paper's colours are none of a screen's.
		if got := apart(colorful.Lab(tt.l1/100, tt.a1/100, tt.b1/100), colorful.Lab(tt.l2/100, tt.a2/100, tt.b2/100)); math.Abs(got-tt.want) > 0.0005 {
			t.Errorf("%+v: %.4f", tt, got)
		}
	}
}

// TestBlindness: a grey stays what it is for everybody, and red and green come nearer
// to each other for those who see no red or no green.
func TestBlindness(t *testing.T) {
	t.Parallel()
	red, green := hex(t, "#c03030"), hex(t, "#30a030")
	for name, m := range blindness {
		if d := apart(hex(t, "#808080"), seen(hex(t, "#808080"), m)); d > 0.1 {
			t.Errorf("%s: grey is %.2f from grey", name, d)
		}
		near := apart(seen(red, m), seen(green, m)) < apart(red, green)/2
		if want := name != "tritanopia"; near != want {
			t.Errorf("%s: red and green near to each other: %v", name, near)
		}
	}
}
