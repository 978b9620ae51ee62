package main

import (
	"os"
	"testing"
)

// TestLook: a flag goes before the configuration, and that before the dark
// theme, on every screen.
func TestLook(t *testing.T) {
	t.Setenv("CLICOLOR_FORCE", "1")
	t.Setenv("NO_COLOR", "")
	t.Setenv("TERM", "xterm-256color")
	e := &env{outFile: os.Stdout}
	for _, c := range []struct{ flag, config, want string }{
		{"", "", "dark"}, {"", "night", "night"}, {"light", "night", "light"}, {"dark", "night", "dark"},
	} {
		f, conf := consoleFlags{Theme: c.flag}, config{Theme: c.config}
		if got := f.look(e, conf).Theme.Name; got != c.want {
			t.Errorf("flag %q, configuration %q: %s, want %s", c.flag, c.config, got, c.want)
		}
	}
}
