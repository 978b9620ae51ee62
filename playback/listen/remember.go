package listen

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode"

	"golang.org/x/sync/errgroup"
)

// Remember returns what work comes to, or what was kept of that for the file, as JSON,
// where good finds nothing wrong with it.
func Remember[T any](f File, what string, version int, good func(T) bool, work func() (T, error)) (T, error) {
	if b := f.get(what, version); b != nil {
		var kept T
		if unmarshal(b, &kept) == nil && good(kept) {
			return kept, nil
		}
	}
	v, err := work()
	if err != nil {
		return v, err
	}
	if b, err := json.Marshal(v); err == nil {
		f.keep(what, version, b)
	}
	return v, nil
}

// Together is several files as one of which something can be remembered, in that
// order. It cannot be opened. The files come to know their hashes.
func Together(ctx context.Context, tell Tell, files ...*File) (File, error) {
	g, gctx := errgroup.WithContext(ctx)
	for i, f := range files {
		tell := tell
		if i > 0 { // one tells for all
			tell = tellNobody
		}
		g.Go(func() error { return f.identify(gctx, tell) })
	}
	err := g.Wait()
	var sums []string
	for _, f := range files {
		if f.SHA256 == "" {
			return File{}, err
		}
		sums = append(sums, f.SHA256)
	}
	return File{
		SHA256: fmt.Sprintf("%x", sha256.Sum256([]byte(strings.Join(sums, "\n")))),
		Changed: func() error {
			var all error
			for _, f := range files {
				all = errors.Join(all, f.changed())
			}
			return all
		},
	}, err
}

// unmarshal reads JSON whose texts can be printed anywhere: what was kept may have been
// written by anybody.
func unmarshal(b []byte, v any) error {
	for d := json.NewDecoder(bytes.NewReader(b)); ; {
		token, err := d.Token()
		if err == io.EOF {
			return json.Unmarshal(b, v)
		} else if err != nil {
			return err
		}
		if text, ok := token.(string); ok && strings.ContainsFunc(text, func(r rune) bool { return !unicode.IsPrint(r) }) {
			return errors.New("found text that cannot be printed")
		}
	}
}

func tellNobody(string, float64) {}
