package main

import (
	"fmt"
	"io"

	"drylane/show"
)

// nightHelp says how the commands that take several shows are given them.
const nightHelp = "Several show folders, or a folder of show folders (taken by name), are a night: its shows use one field, one after the other."

// heading begins what is said of one show of several.
func heading(w io.Writer, i, of int, title, folder string) {
	blank := "\n"
	if i == 0 {
		blank = ""
	}
	fmt.Fprintf(w, "%s%d of %d: %s (%s)\n", blank, i+1, of, show.Clean(title), show.Clean(folder))
}
