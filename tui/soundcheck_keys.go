package tui

import (
	"time"

	"drylane/playback/desk"
)

// The acts of the sound check that the console does not have.
const (
	CheckPlay      Act = "play"
	CheckStop      Act = "stop"
	CheckTop       Act = "from-the-top"
	CheckNext      Act = "play-next"
	CheckPrev      Act = "play-previous"
	CheckUp        Act = "mark-up"
	CheckDown      Act = "mark-down"
	CheckBack      Act = "wind-back"
	CheckOn        Act = "wind-on"
	CheckLeftUp    Act = "left-up"
	CheckLeftDown  Act = "left-down"
	CheckLeftUp5   Act = "left-up-fine"
	CheckLeftDown5 Act = "left-down-fine"
	CheckRightUp   Act = "right-up"
	CheckRightDown Act = "right-down"
	CheckRightUp5  Act = "right-up-fine"
	CheckRightDn5  Act = "right-down-fine"
	CheckBothUp    Act = "both-up"
	CheckBothDown  Act = "both-down"
	CheckMuteLeft  Act = "left-off"
	CheckMuteRight Act = "right-off"
	CheckLow       Act = "start-low"
	CheckOver      Act = "over-0"
	CheckLevelUp   Act = "level-up"
	CheckLevelDown Act = "level-down"
	CheckForget    Act = "clear-peaks"
)

// CheckKeys is the one table of the sound check's keys.
var CheckKeys = []Binding{
	{Act: CheckPlay, Keys: []string{"enter"}, Label: "play", Help: "play the marked line, on from where it was stopped", Head: "The sound"},
	{Act: CheckStop, Keys: []string{"space", "ctrl+z"}, Label: "STOP", Help: "stop at once", Now: true},
	{Act: CheckUp, Keys: []string{"up"}, Label: "mark", Help: "mark the line above"},
	{Act: CheckDown, Keys: []string{"down"}, Help: "mark the line below"},
	{Act: CheckNext, Keys: []string{"n"}, Label: "next", Help: "play the next line"},
	{Act: CheckPrev, Keys: []string{"p"}, Help: "play the line before"},
	{Act: CheckTop, Keys: []string{"0"}, Help: "play the marked line from its beginning"},
	{Act: CheckBack, Keys: []string{"left"}, Help: "wind a file back by 5 s", Now: true},
	{Act: CheckOn, Keys: []string{"right"}, Help: "wind a file on by 5 s", Now: true},
	{Act: CheckLeftUp, Keys: []string{"w"}, Help: "left side 1 dB up", Head: "Gains", Now: true},
	{Act: CheckLeftDown, Keys: []string{"s"}, Help: "left side 1 dB down", Now: true},
	{Act: CheckRightUp, Keys: []string{"o"}, Help: "right side 1 dB up", Now: true},
	{Act: CheckRightDown, Keys: []string{"l"}, Help: "right side 1 dB down", Now: true},
	{Act: CheckLeftUp5, Keys: []string{"W"}, Help: "left side 0.5 dB up", Now: true},
	{Act: CheckLeftDown5, Keys: []string{"S"}, Help: "left side 0.5 dB down", Now: true},
	{Act: CheckRightUp5, Keys: []string{"O"}, Help: "right side 0.5 dB up", Now: true},
	{Act: CheckRightDn5, Keys: []string{"L"}, Help: "right side 0.5 dB down", Now: true},
	{Act: CheckBothUp, Keys: []string{"+", "="}, Label: "both", Help: "both sides 1 dB up", Now: true},
	{Act: CheckBothDown, Keys: []string{"-"}, Help: "both sides 1 dB down", Now: true},
	{Act: CheckMuteLeft, Keys: []string{"1"}, Help: "left side off, and on again", Now: true},
	{Act: CheckMuteRight, Keys: []string{"2"}, Help: "right side off, and on again", Now: true},
	{Act: CheckLow, Keys: []string{"x"}, Label: "start low", Help: "both sides back to -20 dB", Now: true},
	{Act: CheckOver, Keys: []string{"b"}, Help: "let the gains pass 0 dB, up to +6 dB, and no longer", Now: true},
	{Act: CheckLevelUp, Keys: []string{"."}, Help: "test signals 1 dB up", Head: "Test signals and meters", Now: true},
	{Act: CheckLevelDown, Keys: []string{","}, Help: "test signals 1 dB down", Now: true},
	{Act: CheckForget, Keys: []string{"c"}, Help: "clear the highest peaks", Now: true},
	{Act: ActTheme, Keys: []string{"m"}, Help: "theme: dark, light, night, mono", Head: "Everything else"},
	{Act: ActHelp, Keys: []string{"?"}, Label: "help", Help: "this list"},
	{Act: ActQuit, Keys: []string{"q", "ctrl+c"}, Label: "quit", Help: "stop and leave the sound check"},
}

// windStep is how far the winding keys go.
const windStep = 5 * time.Second

// The steps of the gain keys.
var (
	gainStep = desk.Halves(1)
	fineStep = desk.Halves(0.5)
)

// CheckCommand returns what the desk is asked to do for an act that does not
// depend on the screen. ok is false for all others.
func CheckCommand(a Act) (c desk.Command, ok bool) {
	c, ok = checkCommands[a]
	return c, ok
}

var checkCommands = map[Act]desk.Command{
	CheckStop:      {Action: desk.Stop},
	CheckBack:      {Action: desk.Wind, By: -windStep},
	CheckOn:        {Action: desk.Wind, By: windStep},
	CheckLeftUp:    {Action: desk.Gain, Side: desk.Left, Step: gainStep},
	CheckLeftDown:  {Action: desk.Gain, Side: desk.Left, Step: -gainStep},
	CheckLeftUp5:   {Action: desk.Gain, Side: desk.Left, Step: fineStep},
	CheckLeftDown5: {Action: desk.Gain, Side: desk.Left, Step: -fineStep},
	CheckRightUp:   {Action: desk.Gain, Side: desk.Right, Step: gainStep},
	CheckRightDown: {Action: desk.Gain, Side: desk.Right, Step: -gainStep},
	CheckRightUp5:  {Action: desk.Gain, Side: desk.Right, Step: fineStep},
	CheckRightDn5:  {Action: desk.Gain, Side: desk.Right, Step: -fineStep},
	CheckBothUp:    {Action: desk.Gain, Side: desk.Both, Step: gainStep},
	CheckBothDown:  {Action: desk.Gain, Side: desk.Both, Step: -gainStep},
	CheckMuteLeft:  {Action: desk.Mute, Side: desk.Left},
	CheckMuteRight: {Action: desk.Mute, Side: desk.Right},
	CheckLow:       {Action: desk.Low},
	CheckOver:      {Action: desk.Over},
	CheckLevelUp:   {Action: desk.Level, Step: gainStep},
	CheckLevelDown: {Action: desk.Level, Step: -gainStep},
	CheckForget:    {Action: desk.Forget},
}

// newCheckKeymap returns the keymap of the sound check. No key stands twice in
// its table; a test holds that.
func newCheckKeymap() *Keymap {
	k := &Keymap{Bindings: CheckKeys, byKey: map[string]int{}}
	for i, b := range k.Bindings {
		for _, key := range b.Keys {
			k.byKey[key] = i
		}
	}
	return k
}
