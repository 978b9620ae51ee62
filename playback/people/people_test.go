package people

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/adrg/xdg"
	"pgregory.net/rapid"
)

// atHome gives a test a data folder of its own.
func atHome(t *testing.T) {
	old := xdg.DataHome
	xdg.DataHome = t.TempDir()
	t.Cleanup(func() { xdg.DataHome = old })
}

var robin = Person{Name: "Robin", BiasMS: -42.5, ScatterMS: 18, Taps: 24, Output: "silence", Measured: time.Date(2026, 7, 4, 21, 0, 0, 0, time.UTC)}

func TestPersonIsKept(t *testing.T) {
	atHome(t)
	path, err := robin.Save()
	if err != nil {
		t.Fatal(err)
	}
	later := robin
	later.BiasMS = -38
	if again, err := later.Save(); err != nil || again != path {
		t.Fatalf("%s, then %s, %v", path, again, err)
	}
	p, err := Find("robin") // case does not part people
	if err != nil || !p.Measured.Equal(later.Measured) || p.Name != "Robin" || p.Bias() != -38*time.Millisecond {
		t.Errorf("got %+v, %v", p, err)
	}
	if list, _ := os.ReadDir(filepath.Dir(path)); len(list) != 1 {
		t.Errorf("%d files are there, want 1", len(list))
	}
	if _, err := Find("Alex"); err == nil || err.Error() != `no calibration of "Alex" is kept; there are those of Robin` {
		t.Errorf("got %v", err)
	}
}

// TestPersonFileStaysInItsFolder: every name has a file of its own, in the
// folder, by a name that any disk takes.
func TestPersonFileStaysInItsFolder(t *testing.T) {
	atHome(t)
	owners := map[string]string{}
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.String().Draw(t, "name")
		path := fileOf(name)
		base := filepath.Base(path)
		if filepath.Dir(path) != dir() || strings.Trim(strings.TrimSuffix(base, ".toml"), "abcdefghijklmnopqrstuvwxyz0123456789_-") != "" {
			t.Fatalf("%q is kept at %s", name, path)
		}
		folded := strings.ToLower(name)
		if owner, taken := owners[base]; taken && owner != folded {
			t.Fatalf("%q and %q are both kept at %s", owner, folded, path)
		}
		owners[base] = folded
	})
}

func TestBadPeople(t *testing.T) {
	tests := []struct{ text, want string }{
		{"", "x.toml: found nothing: the file is empty"},
		{"taps = 24", "x.toml: found no name"},
		{"name = \"Robin\"\nbias_ms = nan\ntaps = 24", "x.toml:2:1: found the number NaN as bias_ms; wanted -1000 to 1000"},
		{"name = \"Robin\"\nbias_ms = -5000\ntaps = 24", "x.toml:2:1: found the number -5000 as bias_ms; wanted -1000 to 1000"},
		{"name = \"Robin\"\nbias_ms = -50\nscatter_ms = -1\ntaps = 24", "x.toml:3:1: found the number -1 as scatter_ms; wanted 0 to 1000"},
		{"name = \"Robin\"\nbias_ms = -50\ntaps = 3", "x.toml:3:1: found the number 3 as taps; wanted 10 to"},
		{"name = \"Robin\"\nbias_ms = -50", "x.toml: found a calibration from 0 taps; wanted at least 10"},
		{"name = \"Ro\\u202Ebin\"\ntaps = 24", "without characters that cannot be seen"},
		{"name = \"Robin\"\nbais_ms = 1", `x.toml:2:1: found the unknown key "bais_ms"; wanted one of name, bias_ms, scatter_ms, taps, output, measured; did you mean "bias_ms"?`},
		{"name = \"Robin\"\nmeasured = 2026", "x.toml:2:1: found something other than a moment as measured"},
		{"not toml", "x.toml:1:"},
		{strings.Repeat("#\n", 40<<10), "found a file that is too large"},
	}
	for _, tt := range tests {
		if _, err := readPerson("x.toml", strings.NewReader(tt.text)); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%.40q: got %v, want %s", tt.text, err, tt.want)
		}
	}
}

// FuzzPerson: what reads can be written, and reads the same again.
func FuzzPerson(f *testing.F) {
	var good bytes.Buffer
	if err := robin.write(&good); err != nil {
		f.Fatal(err)
	}
	f.Add(good.String())
	f.Add("name = \"Robin\"\nbias_ms = 1e400\ntaps = 24\n")
	f.Fuzz(func(t *testing.T, text string) {
		p, err := readPerson("x.toml", strings.NewReader(text))
		if err != nil {
			if err.Error() == "" {
				t.Fatal("an error without words")
			}
			return
		}
		var again bytes.Buffer
		if err := p.write(&again); err != nil {
			t.Fatalf("%+v: %v", p, err)
		}
		q, err := readPerson("x.toml", &again)
		if err != nil || q.Name != p.Name || q.Bias() != p.Bias() || q.Taps != p.Taps || !q.Measured.Equal(p.Measured) {
			t.Fatalf("%+v was read back as %+v, %v", p, q, err)
		}
	})
}
