package console

import (
	"strings"

	"drylane/show"
	"drylane/tui/screen"

	tea "github.com/charmbracelet/bubbletea"
)

// A Spoken is the console as lines, for a screen reader: what changes is said once,
// and the keys are those of the picture. It is made for somebody who hears the music at
// the same time: lines are short, the word that matters stands first, and nothing is
// said that neither happened nor was asked for.
type Spoken struct {
	*Screen
	told     told
	marks    []callMark
	last     []string   // what was said last
	before   screen.Act // what the key before this one asked for
	page     int        // what the panel key says next
	placed   placeTold
	greeting []string
}

// NewSpoken returns the console of a run as lines.
func NewSpoken(s Setup) *Spoken {
	s.Aside = nil // it would be drawn
	m := New(s)
	m.inLines = true
	m.Update(tea.WindowSizeMsg{Width: 200, Height: 60}) // of no picture: it says where words are shortened
	p := &Spoken{Screen: m, marks: callMarks(s.Show)}
	m.lookUp()
	switch m.hand.mode {
	case firstMode:
		p.greeting = p.firstLines()
	case briefMode:
		p.greeting = p.briefLines()
	default:
		p.greeting = p.openingLines()
	}
	return p
}

// Look implements screen.Speaker.
func (p *Spoken) Look() (lines []string, cmd tea.Cmd) {
	p.look(p.Now())
	p.lookUp()
	p.catchUp()
	lines, p.greeting = p.greeting, nil
	var said []string
	p.told, said = p.told.next(p.facts())
	said = append(said, p.placeNews()...)
	if lines = p.say(append(lines, said...)); p.snap.Done {
		cmd = tea.Quit
	}
	return lines, cmd
}

// Hear implements screen.Speaker.
func (p *Spoken) Hear(msg tea.Msg) (lines []string, cmd tea.Cmd) {
	_, cmd = p.Update(msg)
	if key, ok := msg.(pressed); ok {
		lines = p.say(p.answer(key))
		p.before = key.act
	}
	return lines, cmd
}

// say makes lines fit to be written, and keeps them to be said again.
func (p *Spoken) say(lines []string) (clean []string) {
	for _, line := range lines {
		if line = strings.TrimSpace(arrowNames.Replace(p.Shown(show.Clean(line)))); line != "" {
			clean = append(clean, line)
		}
	}
	if len(clean) > 0 {
		p.last = clean
	}
	return clean
}

// keyName is a key of an act as it is spoken: by name, where the picture has an arrow.
func (p *Spoken) keyName(a screen.Act) string { return spokenKey(p.Keys.Of(a)[0]) }

func spokenKey(key string) string {
	if name, ok := keyNames[key]; ok {
		return name
	}
	return strings.ReplaceAll(key, "+", " ")
}

// arrowNames are the arrows of a line that the picture has too.
var arrowNames = strings.NewReplacer("←", "left", "→", "right", "↑", "up", "↓", "down")

// keyNames are the keys that a screen reader may leave out when it reads a line.
var keyNames = map[string]string{",": "comma", ".": "full stop", "/": "slash", "+": "plus", "=": "equals", "-": "minus", "?": "question mark"}
