package output

import (
	"strings"
)

// takesBack reports whether a device of the PulseAudio module driver gives back
// what it holds and has not played, as hardware with a buffer that can be written
// anew does; a pipe, a network and a wireless link do not, nor does PipeWire.
func takesBack(driver string) bool {
	return strings.HasPrefix(driver, "module-alsa") || strings.HasPrefix(driver, "module-null-sink")
}
