// Package testdata holds the demo show and the drills that come with drylane.
package testdata

import (
	"embed"
	"io/fs"
)

//go:embed demo/show
var demo embed.FS

//go:embed drills
var drills embed.FS

// Demo returns the folder of the demo show: show.toml, cues.csv and
// soundtrack.mp3.
func Demo() fs.FS { return sub(demo, "demo/show") }

// Drills returns the folder of the drills.
func Drills() fs.FS { return sub(drills, "drills") }

func sub(fsys fs.FS, name string) fs.FS {
	folder, err := fs.Sub(fsys, name)
	if err != nil {
		panic(err) // the names are valid: fs.Sub has nothing else to refuse
	}
	return folder
}
