package exchange

import (
	"bytes"
	"fmt"

	"drylane/show"

	"github.com/pelletier/go-toml/v2"
)

// A Folder is what a new show folder is made from.
type Folder struct {
	Title      string
	Soundtrack string // the file's name in the folder
	SHA256     string // of the file; empty to leave it unpinned
	Cues       []show.Cue
}

// Names of the files that Write makes.
const (
	showFile = "show.toml"
	cuesFile = "cues.csv"
)

type tomlShow struct {
	Title      string         `toml:"title,omitempty"`
	Cues       string         `toml:"cues"`
	Soundtrack tomlSoundtrack `toml:"soundtrack"`
	Positions  []tomlName     `toml:"position,omitempty" comment:"Where the cues are fired from, as found in the cue list. May be added:\ndistance_m, bearing, hand_fired."`
	Modules    []tomlName     `toml:"module,omitempty" comment:"The modules found in the cue list. May be added: pins, min_gap."`
}

type tomlSoundtrack struct {
	File   string `toml:"file"`
	SHA256 string `toml:"sha256,omitempty"`
}

type tomlName struct {
	Name string `toml:"name"`
}

// Write writes show.toml, with the positions and modules that the cues name,
// and cues.csv. write is called once for each; its error ends Write.
func (f Folder) Write(write func(name string, data []byte) error) error {
	t := tomlShow{Title: show.Clean(f.Title), Cues: cuesFile, Soundtrack: tomlSoundtrack{f.Soundtrack, f.SHA256}}
	positions, modules := map[string]bool{}, map[string]bool{}
	for _, c := range f.Cues {
		if !positions[c.Position] {
			positions[c.Position] = true
			t.Positions = append(t.Positions, tomlName{c.Position})
		}
		if c.Module != "" && !modules[c.Module] {
			modules[c.Module] = true
			t.Modules = append(t.Modules, tomlName{c.Module})
		}
	}
	text, err := toml.Marshal(t)
	if err != nil {
		return fmt.Errorf("%s: %w", showFile, err)
	}
	var cues bytes.Buffer
	if err := (&show.Show{Cues: f.Cues}).WriteCues(&cues); err != nil {
		return fmt.Errorf("%s: %w", cuesFile, err)
	}
	if err := write(showFile, text); err != nil {
		return err
	}
	return write(cuesFile, cues.Bytes())
}
