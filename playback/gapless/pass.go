package gapless

import (
	"cmp"
	"context"
	"errors"
	"io"
	"maps"
	"runtime"
	"sync"

	"golang.org/x/sync/errgroup"
)

// passEntries is how many MPEG frames one chunk of a Pass covers. Each chunk
// costs up to three more to get the decoder going where the one before it was
// decoded on another core: about 1 in 100.
const passEntries = 256

// deliverFrames is how many frames of music fn is given at most.
const deliverFrames = 1 << 14

// Pass decodes a whole file on all cores and calls fn with one chunk after the
// other, in order and from one goroutine: together they are the frames that a
// straight read gives, bit for bit. start is the first frame of the chunk; fn must
// not keep frames. open is called once for each core but the first, which decodes
// from r's own source; what it returns is closed before Pass returns. An error of
// fn, or the end of ctx, ends the pass and is returned. Memory does not grow with
// the file.
//
// r may not be used meanwhile. It then stands anywhere, and knows of all damage.
func (r *Reader) Pass(ctx context.Context, open func() (io.ReadSeekCloser, error), fn func(start int64, frames [][2]float64) error) error {
	return newPass(r.ix, runtime.GOMAXPROCS(0), passEntries).run(ctx, r, open, fn)
}

// run decodes with r and as many others as the pass has workers besides.
func (p *pass) run(ctx context.Context, r *Reader, open func() (io.ReadSeekCloser, error), fn func(int64, [][2]float64) error) error {
	g, ctx := errgroup.WithContext(ctx)
	g.Go(func() error { return p.plan(ctx) })
	g.Go(func() error { return p.work(ctx, r) })
	others := make([]*Reader, cap(p.order)-1)
	for i := range others {
		g.Go(func() error {
			rs, err := open()
			if err != nil {
				return err
			}
			others[i] = r.Again(rs)
			return errors.Join(p.work(ctx, others[i]), rs.Close())
		})
	}
	g.Go(func() error { return p.deliver(ctx, fn) })
	err := g.Wait()
	for _, o := range others {
		if o != nil {
			maps.Copy(r.dec.bad, o.dec.bad)
		}
	}
	return err
}

// A chunk is a stretch of music for one core to decode.
type chunk struct {
	start int64
	pcm   []byte        // as the MP3 decoder gives it: a quarter of its size as floats
	done  chan struct{} // closed when pcm is filled
}

// A pass hands chunks to workers, and on in their order.
type pass struct {
	ix    *index
	size  int64 // of a chunk, in MPEG frames
	todo  chan *chunk
	order chan *chunk // the same chunks; its size bounds those in flight
	free  sync.Pool
}

func newPass(ix *index, workers int, size int64) *pass {
	return &pass{ix: ix, size: size, todo: make(chan *chunk), order: make(chan *chunk, workers)}
}

// plan cuts the music into chunks on MPEG frame boundaries.
func (p *pass) plan(ctx context.Context) error {
	defer close(p.todo)
	defer close(p.order)
	for start := int64(0); start < p.ix.frames; {
		k, within := p.ix.at(start)
		size := (p.size-int64(k)%p.size)*p.ix.perFrame() - within
		c := &chunk{start: start, done: make(chan struct{})}
		if buf, ok := p.free.Get().(*[]byte); ok {
			c.pcm = *buf
		} else {
			c.pcm = make([]byte, pcmFrame*p.size*p.ix.perFrame())
		}
		size = min(size, p.ix.frames-start)
		c.pcm = c.pcm[:pcmFrame*size]
		start += size
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

// work decodes chunks until there are no more.
func (p *pass) work(ctx context.Context, r *Reader) error {
	for c := range p.todo {
		r.pos = c.start
		for rest := c.pcm; len(rest) > 0; {
			b := r.next(int64(len(rest) / pcmFrame))
			if len(b) == 0 {
				return cmp.Or(r.err, io.ErrUnexpectedEOF)
			}
			rest = rest[copy(rest, b):]
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
	frames := make([][2]float64, deliverFrames)
	for c := range p.order {
		select {
		case <-c.done:
		case <-ctx.Done():
			return ctx.Err()
		}
		for at := 0; pcmFrame*at < len(c.pcm); {
			n := convert(frames, c.pcm[pcmFrame*at:])
			if err := fn(c.start+int64(at), frames[:n]); err != nil {
				return err
			}
			at += n
		}
		whole := c.pcm[:cap(c.pcm)]
		p.free.Put(&whole)
	}
	return nil
}
