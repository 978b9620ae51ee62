package tui

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"drylane/show"
)

// An Act is something a key does on the console.
type Act string

// The acts, by the names that a key file uses.
const (
	ActArm       Act = "arm"
	ActGo        Act = "go"
	ActHold      Act = "hold"
	ActCut       Act = "cut"
	ActEarlier   Act = "earlier"
	ActLater     Act = "later"
	ActEarlier5  Act = "earlier-more"
	ActLater5    Act = "later-more"
	ActTap       Act = "tap"
	ActCallEarly Act = "call-early"
	ActCallLate  Act = "call-late"
	ActDown      Act = "stand-down"
	ActBack      Act = "bring-back"
	ActLaneUp    Act = "lane-up"
	ActLaneDown  Act = "lane-down"
	ActCuePrev   Act = "cue-back"
	ActCueNext   Act = "cue-on"
	ActDoubt     Act = "next-doubt"
	ActZoomIn    Act = "zoom-in"
	ActZoomOut   Act = "zoom-out"
	ActZoomAll   Act = "zoom-all"
	ActScrollBk  Act = "scroll-back"
	ActScrollOn  Act = "scroll-on"
	ActFollow    Act = "follow"
	ActGroup     Act = "lanes"
	ActFold      Act = "fold"
	ActFilter    Act = "filter"
	ActPanel     Act = "panel"
	ActReports   Act = "reports"
	ActListen    Act = "listen"
	ActTick      Act = "tick"
	ActSilent    Act = "silent"
	ActTheme     Act = "theme"
	ActStop      Act = "stop-reading"
	ActCheck     Act = "sound-check"
	ActCalibrate Act = "calibrate"
	ActBriefing  Act = "briefing"
	ActHelp      Act = "help"
	ActQuit      Act = "quit"
)

// A Binding is one row of the key table.
type Binding struct {
	Act   Act
	Keys  []string
	Label string // for a bottom line that is the same in every state; the console has bottomLine
	Help  string // for the help screen
	Head  string // starts a group on the help screen
	// Now marks what must not wait for the screen: it is done in the keys'
	// own goroutine as soon as the key arrives.
	Now bool
}

// DefaultKeys is the one table of keys: what the console obeys, what the
// bottom line and the help screen show, and what the README lists.
var DefaultKeys = []Binding{
	{Act: ActArm, Keys: []string{"a"}, Help: "arm the show: from safe", Head: "The run"},
	{Act: ActGo, Keys: []string{"enter"}, Help: "start when armed, resume when held, safe when ended"},
	{Act: ActHold, Keys: []string{"space"}, Help: "hold: music and cues stop together", Now: true},
	{Act: ActCut, Keys: []string{"backspace"}, Help: "cut: to safe at once, nothing more fires", Now: true},
	{Act: ActEarlier, Keys: []string{"left"}, Help: "nudge the cues EARLIER by 0.1 s", Head: "Nudge and drift", Now: true},
	{Act: ActLater, Keys: []string{"right"}, Help: "nudge the cues LATER by 0.1 s", Now: true},
	{Act: ActEarlier5, Keys: []string{"shift+left"}, Help: "nudge the cues EARLIER by 0.5 s", Now: true},
	{Act: ActLater5, Keys: []string{"shift+right"}, Help: "nudge the cues LATER by 0.5 s", Now: true},
	{Act: ActTap, Keys: []string{"j", "f"}, Help: "tap on an accent as you hear it", Now: true},
	{Act: ActCallEarly, Keys: []string{"e"}, Help: "call: the cues are early", Now: true},
	{Act: ActCallLate, Keys: []string{"l"}, Help: "call: the cues are late", Now: true},
	{Act: ActDown, Keys: []string{"d"}, Help: "stand the marked lane down", Head: "Lanes"},
	{Act: ActBack, Keys: []string{"b"}, Help: "bring the marked lane back"},
	{Act: ActLaneUp, Keys: []string{"up"}, Help: "mark the lane above"},
	{Act: ActLaneDown, Keys: []string{"down"}, Help: "mark the lane below"},
	{Act: ActCuePrev, Keys: []string{","}, Help: "cue under the cursor: the one before in the lane"},
	{Act: ActCueNext, Keys: []string{"."}, Help: "cue under the cursor: the next one in the lane"},
	{Act: ActDoubt, Keys: []string{"w"}, Help: "cue under the cursor: the next one that the review doubts"},
	{Act: ActGroup, Keys: []string{"v"}, Help: "lanes by position, module or effect"},
	{Act: ActFold, Keys: []string{"z"}, Help: "fold the marked lane, or unfold all"},
	{Act: ActFilter, Keys: []string{"/"}, Help: "show only cues whose text has these letters"},
	{Act: ActZoomIn, Keys: []string{"+", "="}, Help: "zoom in", Head: "View"},
	{Act: ActZoomOut, Keys: []string{"-"}, Help: "zoom out"},
	{Act: ActZoomAll, Keys: []string{"0"}, Help: "the whole show, and back"},
	{Act: ActScrollBk, Keys: []string{"pgup"}, Help: "scroll back"},
	{Act: ActScrollOn, Keys: []string{"pgdown"}, Help: "scroll on"},
	{Act: ActFollow, Keys: []string{"n"}, Help: "follow the now-line again"},
	{Act: ActPanel, Keys: []string{"tab"}, Help: "next panel on the right"},
	{Act: ActReports, Keys: []string{"r"}, Help: "reports: both ears, left, right, off"},
	{Act: ActListen, Keys: []string{"p"}, Help: "listen to the music, or to the next companion track"},
	{Act: ActTick, Keys: []string{"t"}, Help: "tick the next line of the hold checklist"},
	{Act: ActTheme, Keys: []string{"m"}, Help: "theme: dark, light, night, mono"},
	{Act: ActCheck, Keys: []string{"s"}, Help: "sound check, while safe"},
	{Act: ActCalibrate, Keys: []string{"k"}, Help: "calibrate: measure how early or late you tap, while safe"},
	{Act: ActStop, Keys: []string{"esc"}, Help: "stop reading the music for the waveform"},
	{Act: ActSilent, Keys: []string{"o"}, Help: "go on without the lost sound device"},
	{Act: ActHelp, Keys: []string{"?"}, Help: "this list", Head: "Everything else"},
	{Act: ActBriefing, Keys: []string{"i"}, Help: "in a drill: the briefing again"},
	{Act: ActQuit, Keys: []string{"q", "ctrl+c"}, Help: "quit; asks while the show is not safe"},
}

// A hint is a key on the line at the bottom.
type hint struct {
	act   Act
	label string
}

// bottomLine lists what the bottom line shows in each state: first what the
// shooter needs then.
var bottomLine = map[show.State][]hint{
	show.Safe:    {{ActArm, "ARM"}, {ActHelp, "help"}, {ActQuit, "quit"}, {ActCheck, "sound check"}, {ActCalibrate, "calibrate"}, {ActZoomIn, "zoom"}, {ActGroup, "lanes"}, {ActTheme, "theme"}, {ActFilter, "filter"}},
	show.Armed:   {{ActGo, "START"}, {ActCut, "make safe"}, {ActEarlier, "EARLIER"}, {ActLater, "LATER"}, {ActHelp, "help"}, {ActDown, "stand down"}, {ActBack, "bring back"}},
	show.Running: {{ActHold, "HOLD"}, {ActCut, "CUT"}, {ActEarlier, "EARLIER"}, {ActLater, "LATER"}, {ActTap, "tap"}, {ActHelp, "help"}, {ActDown, "stand down"}, {ActBack, "bring back"}, {ActPanel, "panel"}, {ActZoomIn, "zoom"}, {ActReports, "reports"}},
	show.Held:    {{ActGo, "RESUME"}, {ActCut, "CUT"}, {ActTick, "tick"}, {ActEarlier, "EARLIER"}, {ActLater, "LATER"}, {ActHelp, "help"}, {ActDown, "stand down"}, {ActBack, "bring back"}},
	show.Ended:   {{ActGo, "make safe"}, {ActHelp, "help"}, {ActQuit, "quit"}, {ActZoomAll, "whole show"}, {ActPanel, "panel"}},
}

// A Keymap finds what a key does.
type Keymap struct {
	Bindings []Binding
	byKey    map[string]int
}

// NewKeymap returns the default keys with the acts in remap given other keys.
// The error names every act or key that cannot be used.
func NewKeymap(remap map[string][]string) (*Keymap, error) {
	k := &Keymap{Bindings: slices.Clone(DefaultKeys), byKey: map[string]int{}}
	var wrong []string
	for act, keys := range remap {
		i := slices.IndexFunc(k.Bindings, func(b Binding) bool { return string(b.Act) == act })
		switch {
		case i < 0:
			wrong = append(wrong, fmt.Sprintf("found %q; wanted one of: %s", act, actNames()))
		case len(keys) == 0:
			wrong = append(wrong, fmt.Sprintf("found no key for %q; wanted at least one", act))
		default:
			k.Bindings[i].Keys = keys
		}
	}
	for i, b := range k.Bindings {
		for _, key := range b.Keys {
			if !validKey(key) {
				wrong = append(wrong, fmt.Sprintf("found key %q for %q; wanted one character, or a name such as space, enter, tab, esc, backspace, left, pgup, shift+left", key, b.Act))
			}
			if j, taken := k.byKey[key]; taken {
				wrong = append(wrong, fmt.Sprintf("found key %q for both %q and %q; wanted one of them", key, k.Bindings[j].Act, b.Act))
			}
			k.byKey[key] = i
		}
	}
	if len(wrong) > 0 {
		slices.Sort(wrong)
		return nil, fmt.Errorf("%s", strings.Join(wrong, "\n"))
	}
	return k, nil
}

// validKey reports whether a terminal can send a key of that name and the
// console does not need it for itself.
func validKey(key string) bool {
	if key == "ctrl+z" { // suspends the program
		return false
	}
	for _, mod := range []string{"ctrl+", "alt+", "shift+"} {
		key = strings.TrimPrefix(key, mod)
	}
	named := []string{"space", "enter", "tab", "esc", "backspace", "up", "down", "left", "right", "home", "end",
		"insert", "delete", "pgup", "pgdown"}
	return utf8.RuneCountInString(key) == 1 && key != " " || slices.Contains(named, key)
}

func actNames() string {
	var names []string
	for _, b := range DefaultKeys {
		names = append(names, string(b.Act))
	}
	return strings.Join(names, ", ")
}

// Find returns the binding of a key, or nil.
func (k *Keymap) Find(key string) *Binding {
	if i, ok := k.byKey[key]; ok {
		return &k.Bindings[i]
	}
	return nil
}

// Name returns how the first key of an act is shown.
func (k *Keymap) Name(a Act) string {
	i := slices.IndexFunc(k.Bindings, func(b Binding) bool { return b.Act == a })
	return keyLabel(k.Bindings[i].Keys[0])
}

// keyLabel is how a key is written on the screen.
func keyLabel(key string) string {
	switch key {
	case "left":
		return "←"
	case "right":
		return "→"
	case "up":
		return "↑"
	case "down":
		return "↓"
	case "shift+left":
		return "shift ←"
	case "shift+right":
		return "shift →"
	case "ctrl+c":
		return "ctrl c"
	}
	return key
}
