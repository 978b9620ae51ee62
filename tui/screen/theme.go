package screen

import (
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
)

// A Style is a role on the screen, and perhaps a mark on top of it.
type Style uint8

// The roles. The theme says what they look like.
const (
	Normal    Style = iota
	Strong          // what must be read first
	Quiet           // labels and units
	Faint           // frames, rulers, empty tracks
	BarSafe         // the bar across the top, by state
	BarArmed        //
	BarRun          //
	BarHeld         //
	BarEnded        //
	ClockOff        // the clock while nothing runs
	ClockRun        //
	ClockHeld       //
	Alarm           // something is wrong
	Caution         // something may be wrong
	Good            // something is right
	NudgeOn         // a nudge other than none
	NowLine         // the now-line where nothing else stands
	WaveAhead       // music to come
	WaveEdge        // its peaks
	WavePast        // music heard
	BeatMark        // beats and accents
	Ignite          // ignition mark of a cue to come
	Lead            // prefire run
	Burst           // effect
	Burning         // burn
	Gone            // all of a cue that is over
	Live            // effect that is up now
	DownMark        // stood down
	Count           // several effects in one cell
	KeyName         // a key
	KeyText         // what it does
	Selected        // the lane or line under the cursor
	Heading         // panel titles
	Dialog          // questions
	MeterLow        // level meter
	MeterHot        //
	TapDot          // taps in the drift panel
	styleCount
)

// A Theme turns styles into escape sequences.
type Theme struct {
	Name  string
	pairs [styleCount][2]string
	plain [styleCount]bool // blanks in the style look like nothing
}

// codes returns what begins and ends text in style s.
func (t *Theme) codes(s Style) (open, shut string) { return t.pairs[s][0], t.pairs[s][1] }

// Fills reports whether the style fills the cells that it is drawn in, so that it is
// told from others without their colours.
func (t *Theme) Fills(s Style) bool { return !t.plain[s] }

func (t *Theme) invisible(s Style) bool { return t.plain[s] }

// ink is how a style is drawn; colours are #rrggbb and may be empty.
type ink struct {
	fg, bg                          string
	bold, faint, reverse, underline bool
}

// ThemeNames lists the themes in the order in which the theme key goes through them.
var ThemeNames = []string{"dark", "light", "night", "mono"}

// NewTheme returns the named theme for a terminal of the given colour
// profile; colours the terminal lacks become the nearest it has that can be read. A
// terminal without any colour gets the mono theme.
func NewTheme(name string, profile termenv.Profile) *Theme {
	inks, ok := themes[name]
	if !ok || profile == termenv.Ascii {
		name, inks, profile = "mono", themes["mono"], termenv.ANSI
	}
	r := lipgloss.NewRenderer(nil, termenv.WithProfile(profile))
	r.SetColorProfile(profile)
	t := &Theme{Name: name}
	for s := range styleCount {
		l := inks[s]
		if profile == termenv.ANSI {
			l = inSixteen(name, l)
		}
		st := r.NewStyle().Bold(l.bold).Faint(l.faint).Reverse(l.reverse).Underline(l.underline)
		if l.fg != "" {
			st = st.Foreground(lipgloss.Color(l.fg))
		}
		if l.bg != "" {
			st = st.Background(lipgloss.Color(l.bg))
		}
		open, shut, _ := strings.Cut(st.Render("x"), "x")
		t.pairs[s] = [2]string{open, shut}
		t.plain[s] = l.bg == "" && !l.reverse && !l.underline
	}
	return t
}

// PlainTheme draws without any escape sequence.
func PlainTheme() *Theme {
	t := &Theme{Name: "plain"}
	for s := range styleCount {
		t.plain[s] = true
	}
	return t
}
