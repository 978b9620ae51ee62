package folder

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// TestShowFolders: what the arguments mean, and in which order.
func TestShowFolders(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"b/show.toml", "a/show.toml", "10/show.toml", "notes/readme", "deep/inner/show.toml", "deep/show.toml", "show.toml.bak"} {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	in := func(names ...string) []string {
		for i := range names {
			names[i] = filepath.Join(dir, names[i])
		}
		return names
	}
	for _, c := range []struct{ args, want []string }{
		{in("."), in("10", "a", "b", "deep")},
		{in("b", "a"), in("b", "a")},
		{in("deep", "deep/inner"), in("deep", "deep/inner")},
		{in("notes"), in("notes")},
		{in("nowhere"), in("nowhere")},
		{in("a", "nowhere"), in("a", "nowhere")},
	} {
		if got, err := List(c.args...); err != nil || !slices.Equal(got, c.want) {
			t.Errorf("%q: %q, %v, want %q", c.args, got, err, c.want)
		}
	}
	for _, args := range [][]string{in("a", "a"), in(".", "a"), {filepath.Join(dir, "a"), dir + "/b/../a"}} {
		if got, err := List(args...); err == nil {
			t.Errorf("%q: %q, want an error", args, got)
		}
	}
}
