package main

import (
	"drylane/tui/screen"
	"drylane/tui/settings"
)

// consoleFlags are the flags of the console's looks.
type consoleFlags struct {
	Theme string `default:"" enum:",dark,light,night,mono" help:"Colours: dark, light, night or mono; default: what config.toml says, else dark."`
	ASCII *bool  `negatable:"" help:"Draw with ASCII characters only, or not; default: what LC_ALL, LC_CTYPE or LANG say."`
}

// look settles what the flags leave to the user's settings and the terminal.
func (f consoleFlags) look(e *env) (screen.Look, error) {
	s, err := settings.Read()
	if err != nil {
		return screen.Look{}, err
	}
	return s.Look(f.Theme, f.ASCII, e.outFile), nil
}
