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

// Day is the script of a whole show day on the demo show, with the field that
// DayField plants and what takes minutes in the field taking seconds.
//
//go:embed day.txt
var Day string

// DayField is the seed of the day's field board: three devices are not as they should be.
const DayField uint64 = 63

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
