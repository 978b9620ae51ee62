package settings

import (
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"drylane/show"
	"drylane/tui/console"
	"drylane/tui/screen"
)

// TestLook: a flag goes before the configuration, and that before the dark
// theme, on every screen.
func TestLook(t *testing.T) {
	t.Setenv("CLICOLOR_FORCE", "1")
	t.Setenv("NO_COLOR", "")
	t.Setenv("TERM", "xterm-256color")
	for _, c := range []struct{ flag, config, want string }{
		{"", "", "dark"}, {"", "night", "night"}, {"light", "night", "light"}, {"dark", "night", "dark"},
	} {
		if got := (Settings{Theme: c.config}).Look(c.flag, nil, os.Stdout).Theme.Name; got != c.want {
			t.Errorf("flag %q, configuration %q: %s, want %s", c.flag, c.config, got, c.want)
		}
	}
}

// TestASCIIAlone: what the environment says of the characters that a terminal takes.
func TestASCIIAlone(t *testing.T) {
	for _, c := range []struct {
		all, ctype, lang, system string
		want                     bool
	}{
		{"", "", "", "linux", false},
		{"", "", "C", "linux", true},
		{"", "", "POSIX", "darwin", true},
		{"", "", "C.UTF-8", "linux", false},
		{"", "", "de_DE.utf8", "linux", false},
		{"", "", "de_DE.ISO-8859-1", "linux", true},
		{"", "en_US.UTF-8", "C", "linux", false},
		{"C", "en_US.UTF-8", "en_US.UTF-8", "linux", true},
		{"", "", "C", "windows", false},
	} {
		env := map[string]string{"LC_ALL": c.all, "LC_CTYPE": c.ctype, "LANG": c.lang}
		if got := asciiAlone(c.system, func(name string) string { return env[name] }); got != c.want {
			t.Errorf("%v on %s: %v, want %v", env, c.system, got, c.want)
		}
	}
}

func TestParse(t *testing.T) {
	c, err := parse("config.toml", strings.NewReader("theme = \"night\"\n[keys]\nhold = [\"h\", \"space\"]\n"))
	if want := (Settings{"night", "", map[string][]string{"hold": {"h", "space"}}}); err != nil || !reflect.DeepEqual(c, want) {
		t.Errorf("%+v, %v; want %+v", c, err, want)
	}
	// An act by its old name is still taken.
	c, err = parse("config.toml", strings.NewReader("[keys]\nreports = [\"x\"]\n"))
	if want := (Settings{Keys: map[string][]string{"bangs": {"x"}}}); err != nil || !reflect.DeepEqual(c, want) {
		t.Errorf("%+v, %v; want %+v", c, err, want)
	}
	for _, nothing := range []string{"", "# nothing\n", "[keys]\n"} {
		if c, err := parse("config.toml", strings.NewReader(nothing)); err != nil || c.Theme != "" || len(c.Keys) > 0 {
			t.Errorf("%q: %+v, %v", nothing, c, err)
		}
	}
	for _, c := range []struct{ text, want string }{
		{"theem = \"night\"", `config.toml:1:1: found the unknown key "theem"; wanted one of theme, keymap, keys; did you mean "theme"?`},
		{"\n theme = \"nigth\"", `config.toml:2:2: found "nigth" as theme; wanted one of dark, light, night, mono; did you mean "night"?`},
		{"theme = 3", "config.toml:1:1: found the number 3 as theme; wanted text in quotes"},
		{"[keys]\nhodl = [\"h\"]", `config.toml:2:1: found the unknown key "hodl" under [keys]; wanted one of`},
		{"[keys]\nhodl = [\"h\"]", `did you mean "hold"?`},
		{"[keys]\nhold = \"h\"", `config.toml:2:1: found "h" as hold; wanted a list`},
		{"theme", "config.toml:1:"},
	} {
		if _, err := parse("config.toml", strings.NewReader(c.text)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v; want %q", c.text, err, c.want)
		}
	}
}

// FuzzParse: whatever the file holds, what is read of it are themes and
// actions that there are.
func FuzzParse(f *testing.F) {
	f.Add("theme = \"night\"\n[keys]\nhold = [\"h\"]\n")
	f.Add("keys = [[]]")
	f.Fuzz(func(t *testing.T, text string) {
		c, err := parse("config.toml", strings.NewReader(text))
		if err != nil {
			if show.Clean(strings.ReplaceAll(err.Error(), "\n", " ")) != strings.ReplaceAll(err.Error(), "\n", " ") {
				t.Fatalf("an error that is not clean: %q", err)
			}
			return
		}
		if c.Theme != "" && !slices.Contains(screen.ThemeNames, c.Theme) {
			t.Fatalf("theme %q", c.Theme)
		}
		for act := range c.Keys {
			if !slices.ContainsFunc(console.Keys, func(b screen.Binding) bool { return string(b.Act) == act }) {
				t.Fatalf("action %q", act)
			}
		}
	})
}
