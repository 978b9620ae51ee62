package folder

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
)

// CallsSum is a SHA-256, in hex, over all that the calls of a show are made from, but
// for its music: show.toml, the cue list, phrases and recordings of them. Two folders
// with one sum and one soundtrack call alike, to the frame.
func (f *Folder) CallsSum(ctx context.Context) (string, error) {
	all := sha256.New()
	for _, name := range append([]string{ShowFile, f.Show.CuesFile}, f.Show.Calls.Files()...) {
		one, err := Hash(ctx, f.Files, name)
		if err != nil {
			return "", err
		}
		fmt.Fprintf(all, "%q %s\n", name, one)
	}
	return hex.EncodeToString(all.Sum(nil)), nil
}
