package screen

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// An Act is something a key does on a screen, by the name that a key file uses.
type Act string

// The acts that several screens have.
const (
	ActTheme Act = "theme"
	ActHelp  Act = "help"
	ActQuit  Act = "quit"
)

// A Binding is one row of the key table.
type Binding struct {
	Act   Act
	Keys  []string
	Label string // for a bottom line that is the same in every state
	Help  string // for the help screen
	Head  string // starts a group on the help screen
	// Now marks what must not wait for the screen: it is done in the keys'
	// own goroutine as soon as the key arrives.
	Now bool
}

// A Keymap finds what a key does.
type Keymap struct {
	Bindings []Binding
	byKey    map[string]int
}

// NewKeymap returns the keys of a table, with the acts in remap given other
// keys. The error names every act or key that cannot be used.
func NewKeymap(table []Binding, remap map[string][]string) (*Keymap, error) {
	k := &Keymap{Bindings: slices.Clone(table), byKey: map[string]int{}}
	var wrong []string
	for act, keys := range remap {
		i := slices.IndexFunc(k.Bindings, func(b Binding) bool { return string(b.Act) == act })
		switch {
		case i < 0:
			wrong = append(wrong, fmt.Sprintf("found %q; wanted one of: %s", act, k.acts()))
		case len(keys) == 0:
			wrong = append(wrong, fmt.Sprintf("found no key for %q; wanted at least one", act))
		default:
			k.Bindings[i].Keys = keys
		}
	}
	for i, b := range k.Bindings {
		for _, key := range b.Keys {
			if _, asked := remap[string(b.Act)]; asked && !validKey(key) {
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

// MustKeymap returns the keys of a screen's own table; it panics if a key
// stands in it twice.
func MustKeymap(table []Binding) *Keymap {
	k, err := NewKeymap(table, nil)
	if err != nil {
		panic(err)
	}
	return k
}

// validKey reports whether a terminal can send a key of that name and the
// program does not need it for itself.
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

// acts lists the names of all acts.
func (k *Keymap) acts() string {
	var names []string
	for _, b := range k.Bindings {
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
	return KeyLabel(k.Of(a)[0])
}

// Of returns the keys of an act.
func (k *Keymap) Of(a Act) []string {
	return k.Bindings[slices.IndexFunc(k.Bindings, func(b Binding) bool { return b.Act == a })].Keys
}

// Describe gives an act another text on the help screen.
func (k *Keymap) Describe(a Act, help string) {
	for i := range k.Bindings {
		if k.Bindings[i].Act == a {
			k.Bindings[i].Help = help
		}
	}
}

// arrows are how the keys with arrows on them are shown.
var arrows = map[string]string{"left": "←", "right": "→", "up": "↑", "down": "↓"}

// KeyLabel is how a key is written on the screen, with what is held down before it.
func KeyLabel(key string) string {
	i := strings.LastIndex(strings.TrimSuffix(key, "+"), "+") + 1
	name := key[i:]
	if a, ok := arrows[name]; ok {
		name = a
	}
	return strings.ReplaceAll(key[:i], "+", " ") + name
}

// Markdown renders the keys as a table for a document.
func (k *Keymap) Markdown() string {
	var b strings.Builder
	b.WriteString("| key | what it does |\n| --- | --- |\n")
	for _, x := range k.Bindings {
		var keys []string
		for _, key := range x.Keys {
			keys = append(keys, "`"+KeyLabel(key)+"`")
		}
		fmt.Fprintf(&b, "| %s | %s |\n", strings.Join(keys, " "), x.Help)
	}
	return b.String()
}
