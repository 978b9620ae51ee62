package console

import (
	"drylane/show"
	"drylane/tui/screen"
)

// The acts, by the names that a key file uses.
const (
	actArm         screen.Act = "arm"
	actGo          screen.Act = "go"
	actHold        screen.Act = "hold"
	actCut         screen.Act = "cut"
	actEarlier     screen.Act = "earlier"
	actLater       screen.Act = "later"
	actEarlier5    screen.Act = "earlier-more"
	actLater5      screen.Act = "later-more"
	ActTap         screen.Act = "tap"
	actCallEarly   screen.Act = "call-early"
	actCallLate    screen.Act = "call-late"
	actDown        screen.Act = "stand-down"
	actBack        screen.Act = "bring-back"
	actLaneUp      screen.Act = "lane-up"
	actLaneDown    screen.Act = "lane-down"
	actCuePrev     screen.Act = "cue-back"
	actCueNext     screen.Act = "cue-on"
	actDoubt       screen.Act = "next-doubt"
	actZoomIn      screen.Act = "zoom-in"
	actZoomOut     screen.Act = "zoom-out"
	actZoomAll     screen.Act = "zoom-all"
	actScrollBack  screen.Act = "scroll-back"
	actScrollOn    screen.Act = "scroll-on"
	actFollow      screen.Act = "follow"
	actGroup       screen.Act = "lanes"
	actFold        screen.Act = "fold"
	actFilter      screen.Act = "filter"
	actPanel       screen.Act = "panel"
	actBangs       screen.Act = "bangs"
	actListen      screen.Act = "listen"
	actTick        screen.Act = "tick"
	actSilent      screen.Act = "silent"
	actStopReading screen.Act = "stop-reading"
	ActCheck       screen.Act = "sound-check"
	ActCalibrate   screen.Act = "calibrate"
	actBriefing    screen.Act = "briefing"
	actField       screen.Act = "field"
	actRepair      screen.Act = "repair"
	actPlaces      screen.Act = "places"
	actSeen        screen.Act = "seen"
	actSearch      screen.Act = "search"
	actStrike      screen.Act = "strike-off"
	actLinks       screen.Act = "telephones"
)

// Keys is the one table of keys: what the console obeys, what the
// bottom line and the help screen show, and what the README lists.
var Keys = []screen.Binding{
	{Act: actArm, Keys: []string{"a"}, Help: "arm the show: from safe", Head: "The run"},
	{Act: actGo, Keys: []string{"enter"}, Help: "start when armed, resume when held, safe when ended"},
	{Act: actHold, Keys: []string{"space"}, Help: "hold: music and cues stop together"},
	{Act: actCut, Keys: []string{"backspace"}, Help: "cut: to safe at once, nothing more fires"},
	{Act: actEarlier, Keys: []string{"left"}, Help: "nudge the cues EARLIER by 0.1 s", Head: "Nudge and taps"},
	{Act: actLater, Keys: []string{"right"}, Help: "nudge the cues LATER by 0.1 s"},
	{Act: actEarlier5, Keys: []string{"shift+left"}, Help: "nudge the cues EARLIER by 0.5 s"},
	{Act: actLater5, Keys: []string{"shift+right"}, Help: "nudge the cues LATER by 0.5 s"},
	{Act: ActTap, Keys: []string{"j", "f"}, Help: "tap on an accent as you hear it"},
	{Act: actCallEarly, Keys: []string{"e"}, Help: "call: the cues are early"},
	{Act: actCallLate, Keys: []string{"l"}, Help: "call: the cues are late"},
	{Act: actDown, Keys: []string{"d"}, Help: "stand the marked lane down", Head: "Lanes"},
	{Act: actBack, Keys: []string{"b"}, Help: "bring the marked lane back"},
	{Act: actLaneUp, Keys: []string{"up"}, Help: "mark the lane above"},
	{Act: actLaneDown, Keys: []string{"down"}, Help: "mark the lane below"},
	{Act: actCuePrev, Keys: []string{","}, Help: "cue under the cursor: the one before in the lane"},
	{Act: actCueNext, Keys: []string{"."}, Help: "cue under the cursor: the next one in the lane"},
	{Act: actDoubt, Keys: []string{"w"}, Help: "cue under the cursor: the next one that the review doubts"},
	{Act: actGroup, Keys: []string{"v"}, Help: "lanes by position, module or effect"},
	{Act: actFold, Keys: []string{"z"}, Help: "fold the marked lane, or unfold all"},
	{Act: actFilter, Keys: []string{"/"}, Help: "show only cues whose text has these letters"},
	{Act: actField, Keys: []string{"g"}, Help: "while safe: field board, go / no-go, lanes", Head: "Before the arming, and made safe"},
	{Act: actRepair, Keys: []string{"c"}, Help: "somebody goes out, to a device or by name; or is back"},
	{Act: actPlaces, Keys: []string{"u"}, Help: "after a cut: places from which the show can start again", Head: "After a cut, and after the end"},
	{Act: actSeen, Keys: []string{"y"}, Help: "say what was seen or heard of a cue in the marked lane, or that it did not go"},
	{Act: actSearch, Keys: []string{"x"}, Help: "after a run: what was commanded and what is still loaded, and the lanes again"},
	{Act: actStrike, Keys: []string{"X"}, Help: "with --crew: strike off the first lost or awaited", Head: "The crew"},
	{Act: actLinks, Keys: []string{"C"}, Help: "with --crew: the links for telephones, each as a QR code"},
	{Act: actZoomIn, Keys: []string{"+", "="}, Help: "zoom in", Head: "View"},
	{Act: actZoomOut, Keys: []string{"-"}, Help: "zoom out"},
	{Act: actZoomAll, Keys: []string{"0"}, Help: "the whole show, and back"},
	{Act: actScrollBack, Keys: []string{"pgup"}, Help: "scroll back"},
	{Act: actScrollOn, Keys: []string{"pgdown"}, Help: "scroll on"},
	{Act: actFollow, Keys: []string{"n"}, Help: "follow the now-line again; before the arming: no-go"},
	{Act: actPanel, Keys: []string{"tab"}, Help: "next panel on the right"},
	{Act: actBangs, Keys: []string{"r"}, Help: "bangs: both ears, left, right, off"},
	{Act: actListen, Keys: []string{"p"}, Help: "listen to the music, or to the next companion track"},
	{Act: actTick, Keys: []string{"t"}, Help: "tick the hold checklist or, before the arming, a go"},
	{Act: screen.ActTheme, Keys: []string{"m"}, Help: "theme: dark, light, night, mono"},
	{Act: ActCheck, Keys: []string{"s"}, Help: "sound check, while safe"},
	{Act: ActCalibrate, Keys: []string{"k"}, Help: "calibrate: measure how early or late you tap, while safe"},
	{Act: actStopReading, Keys: []string{"esc"}, Help: "stop reading the music for the waveform"},
	{Act: actSilent, Keys: []string{"o"}, Help: "go on without the lost sound device"},
	{Act: screen.ActHelp, Keys: []string{"?"}, Help: "the keys, and what the words mean", Head: "Everything else"},
	{Act: actBriefing, Keys: []string{"i"}, Help: "in a drill: the briefing again"},
	{Act: screen.ActQuit, Keys: []string{"q", "ctrl+c"}, Help: "quit; asks while it is not safe or somebody is in the field"},
}

// A bottomKey is a key on the line at the bottom.
type bottomKey struct {
	act   screen.Act
	label string
}

// overLine is the bottom line after a drill.
var overLine = []bottomKey{{screen.ActQuit, "debrief and score"}, {screen.ActHelp, "help"}, {actZoomAll, "whole show"}, {actPanel, "panel"}}

// bottomLine lists what the bottom line shows in each state: first what the
// shooter needs then.
var bottomLine = map[show.State][]bottomKey{
	show.Safe:    {{actArm, "ARM"}, {screen.ActHelp, "help"}, {screen.ActQuit, "quit"}, {ActCheck, "sound check"}, {ActCalibrate, "calibrate"}, {actZoomIn, "zoom"}, {actGroup, "lanes"}, {screen.ActTheme, "theme"}, {actFilter, "filter"}},
	show.Armed:   {{actGo, "START"}, {actCut, "make safe"}, {actEarlier, "EARLIER"}, {actLater, "LATER"}, {screen.ActHelp, "help"}, {actDown, "stand down"}, {actBack, "bring back"}},
	show.Running: {{actHold, "HOLD"}, {actCut, "CUT"}, {actEarlier, "EARLIER"}, {actLater, "LATER"}, {ActTap, "tap"}, {screen.ActHelp, "help"}, {actDown, "stand down"}, {actBack, "bring back"}, {actPanel, "panel"}, {actZoomIn, "zoom"}, {actBangs, "bangs"}},
	show.Held:    {{actGo, "RESUME"}, {actCut, "CUT"}, {actTick, "tick"}, {actEarlier, "EARLIER"}, {actLater, "LATER"}, {screen.ActHelp, "help"}, {actDown, "stand down"}, {actBack, "bring back"}},
	show.Ended:   {{actGo, "make safe"}, {actSeen, "seen or not"}, {actSearch, "search"}, {screen.ActHelp, "help"}, {screen.ActQuit, "quit"}, {actZoomAll, "whole show"}, {actPanel, "panel"}},
}
