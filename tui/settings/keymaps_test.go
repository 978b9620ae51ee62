package settings

import (
	"slices"
	"strings"
	"testing"
	"unicode"

	"drylane/tui/console"
	"drylane/tui/screen"
)

// A place is where a key lies on a keyboard, in widths of a letter key from the left
// edge and rows from the top; a key may be several wide, and high.
type place struct{ x, y, w, h float64 }

// keyboard is where the keys of a QWERTY keyboard lie, with the enter key of either
// kind, and the keys to the right of it as on a keyboard of full size.
var keyboard = func() map[string]place {
	k := map[string]place{
		"esc": {0, -1.25, 1, 1}, "backspace": {13, 0, 2, 1}, "tab": {0, 1, 1.5, 1}, "enter": {12.75, 1, 2.25, 2}, "space": {3.75, 4, 6.25, 1},
		"insert": {15.25, 0, 1, 1}, "home": {16.25, 0, 1, 1}, "pgup": {17.25, 0, 1, 1}, "delete": {15.25, 1, 1, 1}, "end": {16.25, 1, 1, 1}, "pgdown": {17.25, 1, 1, 1},
		"up": {16.25, 3, 1, 1}, "left": {15.25, 4, 1, 1}, "down": {16.25, 4, 1, 1}, "right": {17.25, 4, 1, 1},
	}
	for y, row := range []struct {
		x    float64
		keys string
	}{{1, "1234567890-="}, {1.5, "qwertyuiop"}, {1.75, "asdfghjkl;'"}, {2.25, "zxcvbnm,./"}} {
		for i, r := range row.keys {
			k[string(r)] = place{row.x + float64(i), float64(y), 1, 1}
		}
	}
	return k
}()

// beside reports whether a finger that aims at one key may press the other.
func beside(a, b string) bool {
	p, q := keyboard[a], keyboard[b]
	const slip = 0.3
	return p.x < q.x+q.w+slip && q.x < p.x+p.w+slip && p.y < q.y+q.h+slip && q.y < p.y+p.h+slip
}

// The keys that each map may use by itself; shift, ctrl and alt with them are pressed by
// nobody by accident.
var within = map[string]func(key string) bool{
	"left": func(key string) bool {
		p := keyboard[key]
		return key == "space" || p.x+p.w <= 7.25
	},
	"right": func(key string) bool {
		p := keyboard[key]
		return key == "space" || p.x >= 5.25
	},
	"gloves": func(key string) bool { return len(key) > 1 },
}

// bare is a key without what is held down with it, and whether there was such a thing.
func bare(key string) (of string, chord bool) {
	of = key
	for _, mod := range []string{"ctrl+", "alt+", "shift+"} {
		of = strings.TrimPrefix(of, mod)
	}
	if r := []rune(of); len(r) == 1 && unicode.IsUpper(r[0]) {
		return strings.ToLower(of), true
	}
	return of, of != key
}

// TestKeymapsReachEverything: in each map every act has a key that the hand reaches.
func TestKeymapsReachEverything(t *testing.T) {
	t.Parallel()
	names := Keymaps()
	if !slices.Equal(names, []string{"gloves", "left", "right"}) {
		t.Fatalf("the maps are %q", names)
	}
	for _, name := range names {
		keys, err := Settings{}.Keymap(name)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		own, _ := shippedKeys(name)
		for _, b := range console.Keys {
			if own[string(b.Act)] == nil {
				t.Errorf("%s gives no key to %s", name, b.Act)
			}
			reached := slices.ContainsFunc(keys.Of(b.Act), func(key string) bool {
				of, _ := bare(key)
				_, lies := keyboard[of]
				return lies && within[name](of)
			})
			if !reached {
				t.Errorf("%s: none of %q, for %s, can be reached", name, keys.Of(b.Act), b.Act)
			}
		}
	}
}

// TestKeymapsKeepDangerApart: no finger that aims at a key which stops can press one
// which goes on, or the other way about, nor cut where it means to hold or to tap.
func TestKeymapsKeepDangerApart(t *testing.T) {
	t.Parallel()
	apart := []struct{ a, b []screen.Act }{
		{[]screen.Act{"hold", "cut"}, []screen.Act{"arm", "go", "silent", "bring-back", "quit", "tap"}},
		{[]screen.Act{"hold"}, []screen.Act{"cut"}},
		{[]screen.Act{"stand-down"}, []screen.Act{"hold", "cut", "go", "tap"}},
	}
	for _, name := range Keymaps() {
		keys, err := Settings{}.Keymap(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, rule := range apart {
			for _, a := range rule.a {
				for _, b := range rule.b {
					for _, x := range keys.Of(a) {
						for _, y := range keys.Of(b) {
							_, chordX := bare(x)
							_, chordY := bare(y)
							if !chordX && !chordY && beside(x, y) {
								t.Errorf("%s: %s (%s) lies beside %s (%s)", name, x, a, y, b)
							}
						}
					}
				}
			}
		}
	}
}

// TestKeymapsStopAtOnce: no key that stops begins with an escape sequence, which a slow
// link may tear, nor needs two fingers.
func TestKeymapsStopAtOnce(t *testing.T) {
	t.Parallel()
	for _, name := range Keymaps() {
		keys, err := Settings{}.Keymap(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, act := range []screen.Act{"hold", "cut"} {
			key := keys.Of(act)[0]
			if _, chord := bare(key); chord || !slices.Contains([]string{"space", "backspace", "tab"}, key) {
				t.Errorf("%s: %s is on %s", name, act, key)
			}
		}
	}
}

// TestKeymapChoice: what is asked for goes before what is configured, and the user's
// own keys before either.
func TestKeymapChoice(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		named, chosen string
		own           map[string][]string
		go_, theme    string
	}{
		{"", "", nil, "enter", "m"},
		{"", "gloves", nil, "tab", "alt+shift+up"},
		{"left", "gloves", nil, "4", "T"},
		{"left", "", map[string][]string{"theme": {"ctrl+t"}}, "4", "ctrl+t"},
	} {
		keys, err := Settings{Map: tt.chosen, Keys: tt.own}.Keymap(tt.named)
		if err != nil {
			t.Fatal(err)
		}
		if got := keys.Of("go")[0] + " " + keys.Of("theme")[0]; got != tt.go_+" "+tt.theme {
			t.Errorf("%+v: %s", tt, got)
		}
	}
	if _, err := (Settings{}).Keymap("feet"); err == nil || !strings.Contains(err.Error(), "wanted one of gloves, left, right") {
		t.Errorf("an unknown map: %v", err)
	}
	if s, err := parse("config.toml", strings.NewReader("keymap = \"gloves\"\n")); err != nil || s.Map != "gloves" {
		t.Errorf("%+v, %v", s, err)
	}
	if _, err := parse("config.toml", strings.NewReader("keymap = \"glove\"\n")); err == nil || !strings.Contains(err.Error(), `wanted one of gloves, left, right; did you mean "gloves"?`) {
		t.Errorf("an unknown map in the file: %v", err)
	}
}
