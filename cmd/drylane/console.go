package main

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"drylane/playback/disk"
	"drylane/playback/rehearsal"
	"drylane/tui/console"
	"drylane/tui/screen"

	"github.com/adrg/xdg"
	"github.com/muesli/termenv"
	"github.com/pelletier/go-toml/v2"
)

// consoleFlags are the flags of the console's looks.
type consoleFlags struct {
	Theme string `default:"" enum:",dark,light,night,mono" help:"Colours: dark, light, night or mono; default: what config.toml says, else dark."`
	ASCII bool   `help:"Draw with ASCII characters only."`
}

// A config is the user's file drylane/config.toml in the configuration folder.
type config struct {
	Theme string              `toml:"theme"`
	Keys  map[string][]string `toml:"keys"`
}

// readConfig reads the user's configuration; there need not be one.
func readConfig() (config, error) {
	var c config
	path := filepath.Join(xdg.ConfigHome, "drylane", "config.toml")
	f, err := os.Open(path)
	if os.IsNotExist(err) {
		return c, nil
	}
	if err != nil {
		return c, fmt.Errorf("%s: the configuration cannot be read: %w", path, disk.Plain(err))
	}
	defer f.Close()
	d := toml.NewDecoder(f)
	d.DisallowUnknownFields()
	if err := d.Decode(&c); err != nil {
		var strict *toml.StrictMissingError
		if errors.As(err, &strict) && len(strict.Errors) > 0 {
			line, column := strict.Errors[0].Position()
			return c, fmt.Errorf("%s:%d:%d: found the unknown key %q; wanted theme or keys", path, line, column, strings.Join(strict.Errors[0].Key(), "."))
		}
		return c, fmt.Errorf("%s: %w", path, err)
	}
	if c.Theme != "" && !slices.Contains(screen.ThemeNames, c.Theme) {
		return c, fmt.Errorf("%s: found theme %q; wanted one of %s", path, c.Theme, strings.Join(screen.ThemeNames, ", "))
	}
	return c, nil
}

// A look is how a screen is drawn.
type look struct {
	theme  *screen.Theme
	themes func(name string) *screen.Theme
	ascii  bool
}

// look settles what the flags leave to the configuration and the terminal.
func (f consoleFlags) look(e *env, conf config) look {
	profile := termenv.NewOutput(e.outFile).EnvColorProfile()
	themes := func(name string) *screen.Theme { return screen.NewTheme(name, profile) }
	return look{themes(cmp.Or(f.Theme, conf.Theme, "dark")), themes,
		f.ASCII || os.Getenv("TERM") == "linux" && os.Getenv("LANG") == "C"}
}

// setup makes what the console needs besides the sound.
func (f consoleFlags) setup(e *env, r *rehearsal.Run) (console.Setup, error) {
	conf, err := readConfig()
	if err != nil {
		return console.Setup{}, err
	}
	keys, err := screen.NewKeymap(console.Keys, conf.Keys)
	if err != nil {
		return console.Setup{}, fmt.Errorf("keys in config.toml: %w", err)
	}
	look := f.look(e, conf)
	return console.Setup{
		Show: r.Show, Plan: r.Plan, Run: r.Deck, Keys: keys, Theme: look.theme, Themes: look.themes,
		ASCII: look.ascii, LogMoved: r.Log.MovedTo, First: firstRun(), FirstSeen: firstSeen,
	}, nil
}

// firstRun reports whether the first words have never been shown to this user.
func firstRun() bool {
	path, err := xdg.StateFile("drylane/shown-first")
	if err != nil {
		return true
	}
	_, err = os.Stat(path)
	return err != nil
}

// firstSeen remembers that they have been read.
func firstSeen() {
	if path, err := xdg.StateFile("drylane/shown-first"); err == nil {
		os.WriteFile(path, nil, 0o600)
	}
}
