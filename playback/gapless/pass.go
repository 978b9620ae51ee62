package gapless

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"runtime"
	"sync"

	"golang.org/x/sync/errgroup"
)

// passEntries is how many MPEG frames one chunk of a Pass covers. Each chunk
// costs up to three more to get the decoder going.
const passEntries = 64

// Pass decodes a whole file on all cores and calls fn with one chunk after the
// other, in order and from one goroutine: together they are the frames that a
// Reader streams, bit for bit. start is the first frame of the chunk; fn must
// not keep frames. open is called once for each core; what it returns is closed
// before Pass returns. An error of fn, or the end of ctx, ends the pass and is
// returned. Memory does not grow with the file, but for the index.
func Pass(ctx context.Context, open func() (io.ReadSeekCloser, error), fn func(start int64, frames [][2]float64) error) error {
	src, err := open()
	if err != nil {
		return err
	}
	ix, err := newIndex(src)
	if err != nil {
		return errors.Join(fmt.Errorf("mp3: %w", err), src.Close())
	}
	p := newPass(ix)
	g, ctx := errgroup.WithContext(ctx)
	g.Go(func() error { return p.plan(ctx) })
	for i := range cap(p.order) {
		g.Go(func() error {
			if i == 0 {
				return p.work(ctx, src)
			}
			rs, err := open()
			if err != nil {
				return err
			}
			return p.work(ctx, rs)
		})
	}
	g.Go(func() error { return p.deliver(ctx, fn) })
	return g.Wait()
}

// A chunk is a stretch of music for one core to decode.
type chunk struct {
	start  int64
	frames [][2]float64
	done   chan struct{} // closed when frames is filled
}

// A pass hands chunks to workers, and on in their order.
type pass struct {
	ix    *index
	todo  chan *chunk
	order chan *chunk // the same chunks; its size bounds those in flight
	free  sync.Pool
}

func newPass(ix *index) *pass {
	n := runtime.GOMAXPROCS(0)
	return &pass{ix: ix, todo: make(chan *chunk), order: make(chan *chunk, n)}
}

// plan cuts the music into chunks on MPEG frame boundaries.
func (p *pass) plan(ctx context.Context) error {
	defer close(p.todo)
	defer close(p.order)
	for start := int64(0); start < p.ix.frames; {
		k, within := p.ix.at(start)
		size := (passEntries-int64(k)%passEntries)*p.ix.perFrame() - within
		c := &chunk{start: start, done: make(chan struct{})}
		if buf, ok := p.free.Get().(*[][2]float64); ok {
			c.frames = *buf
		} else {
			c.frames = make([][2]float64, passEntries*p.ix.perFrame())
		}
		c.frames = c.frames[:min(size, p.ix.frames-start)]
		start += int64(len(c.frames))
		for _, to := range []chan *chunk{p.order, p.todo} {
			select {
			case to <- c:
			case <-ctx.Done():
				return ctx.Err()
			}
		}
	}
	return nil
}

// work decodes chunks until there are no more, and closes rs.
func (p *pass) work(ctx context.Context, rs io.ReadSeekCloser) (err error) {
	defer func() { err = errors.Join(err, rs.Close()) }()
	r := &Reader{ix: p.ix, dec: newDecoder(p.ix, rs), at: -1}
	for c := range p.todo {
		r.pos = c.start
		if n, _ := r.Stream(c.frames); n < len(c.frames) {
			return cmp.Or(r.err, io.ErrUnexpectedEOF)
		}
		close(c.done)
		if ctx.Err() != nil {
			return ctx.Err()
		}
	}
	return nil
}

// deliver gives the chunks to fn as they become ready.
func (p *pass) deliver(ctx context.Context, fn func(int64, [][2]float64) error) error {
	for c := range p.order {
		select {
		case <-c.done:
		case <-ctx.Done():
			return ctx.Err()
		}
		if err := fn(c.start, c.frames); err != nil {
			return err
		}
		whole := c.frames[:cap(c.frames)]
		p.free.Put(&whole)
	}
	return nil
}
