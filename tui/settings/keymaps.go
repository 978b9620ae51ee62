package settings

import (
	"embed"
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"

	"drylane/tui/console"
	"drylane/tui/screen"
)

// The key maps that come along, each a file as a user's own would be: for one hand, and
// for gloves.
//
//go:embed keymaps/*.toml
var shipped embed.FS

// Keymaps lists the key maps that come along.
func Keymaps() []string {
	files, _ := shipped.ReadDir("keymaps")
	var names []string
	for _, f := range files {
		names = append(names, strings.TrimSuffix(f.Name(), ".toml"))
	}
	return names
}

// shippedKeys are the keys of a map that comes along; none for the console's own.
func shippedKeys(name string) (map[string][]string, error) {
	if name == "" {
		return nil, nil
	}
	file := path.Join("keymaps", name+".toml")
	f, err := shipped.Open(file)
	if err != nil {
		return nil, fmt.Errorf("found no key map %q; wanted one of %s", name, strings.Join(Keymaps(), ", "))
	}
	defer f.Close()
	s, err := parse(file, f)
	return s.Keys, err
}

// Keymap is the console's key map: with the keys of a map that comes along, the one
// named or else the user's choice, and the user's own keys in it.
func (s Settings) Keymap(named string) (*screen.Keymap, error) {
	if named == "" {
		named = s.Map
	}
	of, err := shippedKeys(named)
	if err != nil {
		return nil, err
	}
	all := map[string][]string{}
	maps.Copy(all, of)
	maps.Copy(all, s.Keys)
	keys, err := screen.NewKeymap(console.Keys, all)
	if err != nil {
		return nil, fmt.Errorf("keys in config.toml: %w", err)
	}
	return keys, nil
}

// known reports whether a key map of that name comes along.
func known(name string) bool { return slices.Contains(Keymaps(), name) }
