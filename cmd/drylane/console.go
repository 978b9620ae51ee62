package main

import (
	"bufio"
	"cmp"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"drylane/playback/disk"
	"drylane/playback/rehearsal"
	"drylane/show"
	"drylane/tui/console"
	"drylane/tui/screen"

	"github.com/adrg/xdg"
	"github.com/muesli/termenv"
)

// consoleFlags are the flags of the console's looks.
type consoleFlags struct {
	Theme string `default:"" enum:",dark,light,night,mono" help:"Colours: dark, light, night or mono; default: what config.toml says, else dark."`
	ASCII bool   `help:"Draw with ASCII characters only."`
}

// A config is the user's file drylane/config.toml in the configuration folder.
type config struct {
	Theme string
	Keys  map[string][]string // by action
}

// maxConfig bounds that file, in bytes.
const maxConfig = 64 << 10

// readConfig reads the user's configuration; there need not be one.
func readConfig() (config, error) {
	path := filepath.Join(xdg.ConfigHome, "drylane", "config.toml")
	f, err := os.Open(path)
	if os.IsNotExist(err) {
		return config{}, nil
	}
	if err != nil {
		return config{}, fmt.Errorf("%s: the configuration cannot be read: %w", path, disk.Plain(err))
	}
	defer f.Close()
	return parseConfig(path, f)
}

// parseConfig reads a configuration; name is the file's in messages. A file
// with nothing in it is one. The error is a show.Problems.
func parseConfig(name string, r io.Reader) (config, error) {
	var c config
	file := bufio.NewReader(r)
	if _, err := file.Peek(1); err == io.EOF {
		return c, nil
	}
	t, err := show.ReadTOML(name, file, maxConfig)
	if err != nil {
		return c, err
	}
	if c.Theme = t.Text("theme"); c.Theme != "" && !slices.Contains(screen.ThemeNames, c.Theme) {
		t.Note(show.CodeValue, "theme", show.Quote(c.Theme), "one of "+strings.Join(screen.ThemeNames, ", ")+show.DidYouMean(c.Theme, screen.ThemeNames))
	}
	keys := t.Sub("keys")
	for _, b := range console.Keys {
		act := string(b.Act)
		list := keys.Texts(act)
		if !keys.Has(act) {
			continue
		}
		if c.Keys == nil {
			c.Keys = map[string][]string{}
		}
		c.Keys[act] = list
	}
	keys.Done()
	t.Done()
	if ps := t.Problems(); len(ps) > 0 {
		return config{}, ps
	}
	return c, nil
}

// look settles what the flags leave to the configuration and the terminal.
func (f consoleFlags) look(e *env, conf config) screen.Look {
	profile := termenv.NewOutput(e.outFile).EnvColorProfile()
	themes := func(name string) *screen.Theme { return screen.NewTheme(name, profile) }
	return screen.Look{Theme: themes(cmp.Or(f.Theme, conf.Theme, "dark")), Themes: themes,
		ASCII: f.ASCII || os.Getenv("TERM") == "linux" && os.Getenv("LANG") == "C"}
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
	return console.Setup{
		Show: r.Show, Plan: r.Plan, Run: r.Deck, Keys: keys, Look: f.look(e, conf),
		Log: r.Log.Name(), First: firstRun(), FirstSeen: firstSeen,
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
