package main

import (
	"fmt"
	"runtime"
	"runtime/debug"
)

// version is set by release builds with -ldflags "-X main.version=...".
var version = "dev"

type versionCmd struct{}

func (versionCmd) Help() string { return "Example:\n\n  drylane version" }

func (versionCmd) Run(e *env) error {
	_, err := fmt.Fprintf(e.out, "drylane %s (%s, %s/%s)\n", programVersion(), runtime.Version(), runtime.GOOS, runtime.GOARCH)
	return err
}

// programVersion adds the revision that the build was made from, if known.
func programVersion() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return version
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 {
			return version + "-" + s.Value[:12]
		}
	}
	return version
}
