//go:build !unix

package screen

// suspend does nothing: no program can be put to sleep from the keys here.
func suspend() {}
