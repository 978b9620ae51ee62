package playback

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"github.com/adrg/xdg"
)

var errNoFFmpeg = errors.New("the program ffmpeg is not installed")

// A conversionError is what ffmpeg says of a file that it cannot decode.
type conversionError struct{ said string }

func (e *conversionError) Error() string { return e.said }

// conversionPatience is what ffmpeg may take: it decodes an hour in some seconds.
const conversionPatience = 10 * time.Minute

// A conversion is the WAV file that ffmpeg made of a file.
type conversion struct {
	key       [sha256.Size]byte
	file      *os.File
	size      int64
	path      string // empty when it has no name any more
	complaint string
	users     int
}

func (c *conversion) reader() io.ReadSeeker { return io.NewSectionReader(c.file, 0, c.size) }

// discard gives back the disk.
func (c *conversion) discard() error {
	err := c.file.Close()
	if c.path != "" {
		err = errors.Join(err, os.Remove(c.path))
	}
	return err
}

// conversions are those in use, and the one last used: a soundtrack is opened
// several times over, most often one after another. Files are told apart by their
// content.
type conversions struct {
	mu   sync.Mutex
	list []*conversion
}

var converted conversions

// take returns the conversion of f, which is made if there is none. Only one is
// made at a time.
func (cs *conversions) take(f io.ReadSeeker, kind foreign) (*conversion, error) {
	program, err := exec.LookPath("ffmpeg")
	if err != nil {
		return nil, errNoFFmpeg
	}
	cs.mu.Lock()
	defer cs.mu.Unlock()
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return nil, err
	}
	in, err := os.CreateTemp(conversionDir(), "in-")
	if err != nil {
		return nil, err
	}
	defer os.Remove(in.Name())
	defer in.Close() // again, and to no effect, where all goes well
	h := sha256.New()
	if _, err := io.Copy(io.MultiWriter(in, h), f); err != nil {
		return nil, err
	}
	if err := in.Close(); err != nil {
		return nil, err
	}
	key := [sha256.Size]byte(h.Sum(nil))
	for _, c := range cs.list {
		if c.key == key {
			c.users++
			return c, nil
		}
	}
	c, err := convert(program, in.Name(), kind)
	if err != nil {
		return nil, err
	}
	c.key, c.users = key, 1
	cs.list = append(cs.list, c)
	return c, nil
}

// release ends a use of c. The last one without users is kept.
func (cs *conversions) release(c *conversion) error {
	cs.mu.Lock()
	defer cs.mu.Unlock()
	if c.users--; c.users > 0 {
		return nil
	}
	var err error
	kept := cs.list[:0]
	for _, other := range cs.list {
		if other.users > 0 || other == c && c.path == "" {
			kept = append(kept, other)
		} else {
			err = errors.Join(err, other.discard())
		}
	}
	cs.list = kept
	return err
}

// conversionDir is where files lie while they are in use: with the caches, as
// hours of sound may be more than a folder for temporary files in memory holds.
func conversionDir() string {
	dir := filepath.Join(xdg.CacheHome, "drylane", "decoded")
	if os.MkdirAll(dir, 0o700) != nil {
		return "" // the system's own
	}
	return dir
}

// convert has ffmpeg make a WAV file of floats, which nothing is clipped in.
// ffmpeg is told what the file is and may open no other, so that no file can
// make it do anything else.
func convert(program, in string, kind foreign) (*conversion, error) {
	out, err := os.CreateTemp(conversionDir(), "out-")
	if err != nil {
		return nil, err
	}
	c := &conversion{file: out, path: out.Name()}
	ctx, cancel := context.WithTimeout(context.Background(), conversionPatience)
	defer cancel()
	cmd := exec.CommandContext(ctx, program, "-nostdin", "-v", "error", "-protocol_whitelist", "file", "-f", kind.demuxer, "-i", "file:"+in,
		"-map", "0:a:0", "-c:a", "pcm_f32le", "-f", "wav", "-rf64", "auto", "-y", "file:"+c.path)
	var said bytes.Buffer
	cmd.Stderr = &said
	err = cmd.Run()
	line, _, _ := strings.Cut(strings.TrimSpace(said.String()), "\n")
	if err != nil {
		c.discard()
		if line == "" {
			line = err.Error()
		}
		return nil, &conversionError{line}
	}
	if line != "" {
		c.complaint = "ffmpeg found something wrong while it decoded the file: " + line
	}
	if c.size, err = out.Seek(0, io.SeekEnd); err != nil {
		return nil, errors.Join(err, c.discard())
	}
	if os.Remove(c.path) == nil { // where an open file can lose its name, nothing stays behind
		c.path = ""
	}
	return c, nil
}
