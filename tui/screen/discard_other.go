//go:build !linux

package screen

// discard throws away what a terminal has not taken yet, where that can be done.
func discard(uintptr) {}
