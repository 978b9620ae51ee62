package soundcheck

import (
	"time"

	"drylane/playback/desk"
	"drylane/tui/screen"
)

// The acts of the sound check that the console does not have.
const (
	actPlay          screen.Act = "play"
	actStop          screen.Act = "stop"
	actTop           screen.Act = "from-the-top"
	actNext          screen.Act = "play-next"
	actPrev          screen.Act = "play-previous"
	actUp            screen.Act = "mark-up"
	actDown          screen.Act = "mark-down"
	actBack          screen.Act = "wind-back"
	actOn            screen.Act = "wind-on"
	actLeftUp        screen.Act = "left-up"
	actLeftDown      screen.Act = "left-down"
	actLeftUpFine    screen.Act = "left-up-fine"
	actLeftDownFine  screen.Act = "left-down-fine"
	actRightUp       screen.Act = "right-up"
	actRightDown     screen.Act = "right-down"
	actRightUpFine   screen.Act = "right-up-fine"
	actRightDownFine screen.Act = "right-down-fine"
	actBothUp        screen.Act = "both-up"
	actBothDown      screen.Act = "both-down"
	actMuteLeft      screen.Act = "left-off"
	actMuteRight     screen.Act = "right-off"
	actLow           screen.Act = "start-low"
	actOver          screen.Act = "over-0"
	actLevelUp       screen.Act = "level-up"
	actLevelDown     screen.Act = "level-down"
	actForget        screen.Act = "clear-peaks"
)

// keyTable is the one table of the sound check's keys.
var keyTable = []screen.Binding{
	{Act: actPlay, Keys: []string{"enter"}, Label: "play", Help: "play the marked line, on from where it was stopped", Head: "The sound"},
	{Act: actStop, Keys: []string{"space", "ctrl+z"}, Label: "STOP", Help: "stop at once", Now: true},
	{Act: actUp, Keys: []string{"up"}, Label: "mark", Help: "mark the line above"},
	{Act: actDown, Keys: []string{"down"}, Help: "mark the line below"},
	{Act: actNext, Keys: []string{"n"}, Label: "next", Help: "play the next line"},
	{Act: actPrev, Keys: []string{"p"}, Help: "play the line before"},
	{Act: actTop, Keys: []string{"0"}, Help: "play the marked line from its beginning"},
	{Act: actBack, Keys: []string{"left"}, Help: "wind a file back by 5 s", Now: true},
	{Act: actOn, Keys: []string{"right"}, Help: "wind a file on by 5 s", Now: true},
	{Act: actLeftUp, Keys: []string{"w"}, Help: "left side 1 dB up", Head: "Gains", Now: true},
	{Act: actLeftDown, Keys: []string{"s"}, Help: "left side 1 dB down", Now: true},
	{Act: actRightUp, Keys: []string{"o"}, Help: "right side 1 dB up", Now: true},
	{Act: actRightDown, Keys: []string{"l"}, Help: "right side 1 dB down", Now: true},
	{Act: actLeftUpFine, Keys: []string{"W"}, Help: "left side 0.5 dB up", Now: true},
	{Act: actLeftDownFine, Keys: []string{"S"}, Help: "left side 0.5 dB down", Now: true},
	{Act: actRightUpFine, Keys: []string{"O"}, Help: "right side 0.5 dB up", Now: true},
	{Act: actRightDownFine, Keys: []string{"L"}, Help: "right side 0.5 dB down", Now: true},
	{Act: actBothUp, Keys: []string{"+", "="}, Label: "both", Help: "both sides 1 dB up", Now: true},
	{Act: actBothDown, Keys: []string{"-"}, Help: "both sides 1 dB down", Now: true},
	{Act: actMuteLeft, Keys: []string{"1"}, Help: "left side off, and on again", Now: true},
	{Act: actMuteRight, Keys: []string{"2"}, Help: "right side off, and on again", Now: true},
	{Act: actLow, Keys: []string{"x"}, Label: "start low", Help: "both sides back to -20 dB", Now: true},
	{Act: actOver, Keys: []string{"b"}, Help: "let the gains pass 0 dB, up to +6 dB, and no longer", Now: true},
	{Act: actLevelUp, Keys: []string{"."}, Help: "test signals 1 dB up", Head: "Test signals and meters", Now: true},
	{Act: actLevelDown, Keys: []string{","}, Help: "test signals 1 dB down", Now: true},
	{Act: actForget, Keys: []string{"c"}, Help: "clear the highest peaks", Now: true},
	{Act: screen.ActTheme, Keys: []string{"m"}, Help: "theme: dark, light, night, mono", Head: "Everything else"},
	{Act: screen.ActHelp, Keys: []string{"?"}, Label: "help", Help: "this list"},
	{Act: screen.ActQuit, Keys: []string{"q", "ctrl+c"}, Label: "quit", Help: "stop and leave the sound check"},
}

// windStep is how far the winding keys go.
const windStep = 5 * time.Second

// The steps of the gain keys.
var (
	gainStep = desk.Halves(1)
	fineStep = desk.Halves(0.5)
)

// commandOf returns what the desk is asked to do for an act that does not
// depend on the screen. ok is false for all others.
func commandOf(a screen.Act) (c desk.Command, ok bool) {
	c, ok = commands[a]
	return c, ok
}

var commands = map[screen.Act]desk.Command{
	actStop:          {Action: desk.Stop},
	actBack:          {Action: desk.Wind, By: -windStep},
	actOn:            {Action: desk.Wind, By: windStep},
	actLeftUp:        {Action: desk.Gain, Side: desk.Left, Step: gainStep},
	actLeftDown:      {Action: desk.Gain, Side: desk.Left, Step: -gainStep},
	actLeftUpFine:    {Action: desk.Gain, Side: desk.Left, Step: fineStep},
	actLeftDownFine:  {Action: desk.Gain, Side: desk.Left, Step: -fineStep},
	actRightUp:       {Action: desk.Gain, Side: desk.Right, Step: gainStep},
	actRightDown:     {Action: desk.Gain, Side: desk.Right, Step: -gainStep},
	actRightUpFine:   {Action: desk.Gain, Side: desk.Right, Step: fineStep},
	actRightDownFine: {Action: desk.Gain, Side: desk.Right, Step: -fineStep},
	actBothUp:        {Action: desk.Gain, Side: desk.Both, Step: gainStep},
	actBothDown:      {Action: desk.Gain, Side: desk.Both, Step: -gainStep},
	actMuteLeft:      {Action: desk.Mute, Side: desk.Left},
	actMuteRight:     {Action: desk.Mute, Side: desk.Right},
	actLow:           {Action: desk.Low},
	actOver:          {Action: desk.Over},
	actLevelUp:       {Action: desk.Level, Step: gainStep},
	actLevelDown:     {Action: desk.Level, Step: -gainStep},
	actForget:        {Action: desk.Forget},
}
