//go:build !unix

package plainfile

import "os"

// noWait is for systems on which the opening of a file never waits.
const noWait = 0

func mayWait(*os.File) error { return nil }
