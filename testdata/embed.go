// Package testdata holds the demo show.
package testdata

import (
	"embed"
	"io/fs"
)

//go:embed demo/show
var demo embed.FS

// Demo returns the folder of the demo show: show.toml, cues.csv and
// soundtrack.mp3.
func Demo() fs.FS {
	folder, err := fs.Sub(demo, "demo/show")
	if err != nil {
		panic(err) // the name is valid: fs.Sub has nothing else to refuse
	}
	return folder
}
