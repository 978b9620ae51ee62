package instruct

import (
	"context"
	"path/filepath"
	"strings"
)

// A Running is a run that an instructor may connect to.
type Running struct {
	Path  string
	Hello Hello
	Err   error // why there is no talking to it
}

// Find returns the user's runs that listen now, in the order of their process
// ids as text.
func Find(ctx context.Context) ([]Running, error) {
	dir, err := Folder()
	if err != nil {
		return nil, err
	}
	sweep(dir)
	paths, err := sockets(dir)
	if err != nil {
		return nil, err
	}
	var found []Running
	for _, path := range paths {
		r := Running{Path: path}
		c, err := Dial(ctx, path)
		switch {
		case err == nil:
			r.Hello = c.Hello
			c.Close()
		case dead(path):
			continue
		default:
			r.Err = err
		}
		found = append(found, r)
	}
	return found, nil
}

// Named returns the path of the socket that a person means by name: a path, or
// the process id of a run.
func Named(name string) string {
	if strings.ContainsAny(name, `/\`) || strings.HasSuffix(name, suffix) {
		return name
	}
	return filepath.Join(folder(), name+suffix)
}
