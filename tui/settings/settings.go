// Package settings reads what a user has settled once for all screens: the theme
// and the keys in config.toml, and whether the first words have been read.
package settings

import (
	"bufio"
	"cmp"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"drylane/playback/disk"
	"drylane/show"
	"drylane/tui/console"
	"drylane/tui/screen"

	"github.com/adrg/xdg"
	"github.com/muesli/termenv"
)

// Settings are the user's file drylane/config.toml in the configuration folder.
type Settings struct {
	Theme string              // one of screen.ThemeNames; empty for none
	Map   string              // one of Keymaps; empty for the console's own keys
	Keys  map[string][]string // by action
}

// maxSettings bounds that file, in bytes.
const maxSettings = 64 << 10

// Read reads the user's settings; there need not be any.
func Read() (Settings, error) {
	path := filepath.Join(xdg.ConfigHome, "drylane", "config.toml")
	f, err := disk.Open(path)
	if os.IsNotExist(err) {
		return Settings{}, nil
	}
	if err != nil {
		return Settings{}, fmt.Errorf("%s: the configuration cannot be read: %w", path, disk.Plain(err))
	}
	defer f.Close()
	return parse(path, f)
}

// parse reads settings; name is the file's in messages. A file with nothing in it
// is one. The error is a show.Problems.
func parse(name string, r io.Reader) (Settings, error) {
	var s Settings
	file := bufio.NewReader(r)
	if _, err := file.Peek(1); err == io.EOF {
		return s, nil
	}
	t, err := show.ReadTOML(name, file, maxSettings)
	if err != nil {
		return s, err
	}
	if s.Theme = t.Text("theme"); s.Theme != "" && !slices.Contains(screen.ThemeNames, s.Theme) {
		t.Note(show.CodeValue, "theme", show.Quote(s.Theme), "one of "+strings.Join(screen.ThemeNames, ", ")+show.DidYouMean(s.Theme, screen.ThemeNames))
	}
	if s.Map = t.Text("keymap"); s.Map != "" && !known(s.Map) {
		t.Note(show.CodeValue, "keymap", show.Quote(s.Map), "one of "+strings.Join(Keymaps(), ", ")+show.DidYouMean(s.Map, Keymaps()))
	}
	keys := t.Sub("keys")
	keys.Renamed("reports", "bangs")
	for _, b := range console.Keys {
		act := string(b.Act)
		list := keys.Texts(act)
		if !keys.Has(act) {
			continue
		}
		if s.Keys == nil {
			s.Keys = map[string][]string{}
		}
		s.Keys[act] = list
	}
	keys.Done()
	t.Done()
	if ps := t.Problems(); ps.Stop() {
		return Settings{}, ps
	}
	return s, nil
}

// Look settles what neither theme, if it is not empty, nor ascii, if it is not nil, say:
// the user's theme, and what the terminal at out can show.
func (s Settings) Look(theme string, ascii *bool, out *os.File) screen.Look {
	profile := termenv.NewOutput(out).EnvColorProfile()
	themes := func(name string) *screen.Theme { return screen.NewTheme(name, profile) }
	only := ASCIIAlone()
	if ascii != nil {
		only = *ascii
	}
	return screen.Look{Theme: themes(cmp.Or(theme, s.Theme, "dark")), Themes: themes, ASCII: only}
}

// ASCIIAlone reports whether this terminal takes no other characters than ASCII.
func ASCIIAlone() bool { return asciiAlone(runtime.GOOS, os.Getenv) }

// asciiAlone reports whether the environment says that the terminal takes other
// characters than those of UTF-8. The first of three variables that is set counts
// (POSIX.1-2017, base definitions, 8.2). Where none is set nobody has said so.
func asciiAlone(system string, getenv func(string) string) bool {
	locale := strings.ToLower(cmp.Or(getenv("LC_ALL"), getenv("LC_CTYPE"), getenv("LANG")))
	return system != "windows" && locale != "" && !strings.Contains(locale, "utf-8") && !strings.Contains(locale, "utf8")
}

// FirstRun reports whether the first words have never been shown to this user.
func FirstRun() bool {
	path, err := xdg.StateFile("drylane/shown-first")
	if err != nil {
		return true
	}
	_, err = os.Stat(path)
	return err != nil
}

// FirstSeen remembers that they have been read.
func FirstSeen() {
	if path, err := xdg.StateFile("drylane/shown-first"); err == nil {
		os.WriteFile(path, nil, 0o600)
	}
}
