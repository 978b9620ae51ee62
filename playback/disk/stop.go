package disk

import (
	"context"
	"io"
)

// Stoppable reads from r until ctx ends, and then fails with its error: a long
// copy can be stopped.
func Stoppable(ctx context.Context, r io.Reader) io.Reader { return stoppable{ctx, r} }

type stoppable struct {
	ctx context.Context
	r   io.Reader
}

func (s stoppable) Read(p []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.r.Read(p)
}
