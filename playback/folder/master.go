package folder

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"sync/atomic"

	"drylane/playback"
	"drylane/playback/disk"
)

// A master is the file of the soundtrack, opened once for everybody who reads it:
// what is hashed, played and drawn is one file, whatever comes to lie under its
// name meanwhile. It is closed when the last reader is.
type master struct {
	name    string
	file    fs.File
	at      io.ReaderAt
	opened  fs.FileInfo // as it was
	readers atomic.Int32
}

// openMaster opens the file and returns its first reader.
func openMaster(files fs.FS, name string) (*masterReader, error) {
	f, err := files.Open(name)
	if err != nil {
		return nil, cannotOpen(name, err)
	}
	m := &master{name: name, file: f}
	var ok bool
	if m.opened, err = f.Stat(); err != nil {
		f.Close()
		return nil, cannotOpen(name, err)
	}
	if m.at, ok = f.(io.ReaderAt); !ok || m.opened.IsDir() {
		f.Close()
		return nil, &playback.OpenError{Name: name, Found: "is not a file"}
	}
	return m.reader(), nil
}

// close takes a reader away.
func (m *master) close() error {
	if m.readers.Add(-1) > 0 {
		return nil
	}
	return m.file.Close()
}

// reader returns one more reader of the whole file, from its start.
func (m *master) reader() *masterReader {
	m.readers.Add(1)
	return &masterReader{SectionReader: io.NewSectionReader(m.at, 0, m.opened.Size()), m: m}
}

// A masterReader reads a master at its own pace.
type masterReader struct {
	*io.SectionReader
	m      *master
	closed atomic.Bool
}

func (r *masterReader) Stat() (fs.FileInfo, error) { return r.m.opened, nil }

func (r *masterReader) Close() error {
	if r.closed.Swap(true) {
		return nil
	}
	return r.m.close()
}

// sound opens the file as music, with a reader of its own.
func (m *master) sound() (*playback.Soundtrack, error) { return playback.Open(m.name, m.reader()) }

// hash returns the SHA-256 of the file.
func (m *master) hash(ctx context.Context) (string, error) {
	r := m.reader()
	defer r.Close()
	return playback.HashFile(ctx, r, nil)
}

// changed says that the file is not what it was when it was opened, by its size
// and its time. A file that was only given another name, or none, is what it was.
func (m *master) changed() error {
	now, err := m.file.Stat()
	switch was := m.opened; {
	case err != nil:
		return fmt.Errorf("the soundtrack's file cannot be read any more (%w)", disk.Plain(err))
	case now.Size() != was.Size():
		return fmt.Errorf("the soundtrack's file changed while it was open: it had %d bytes and has %d", was.Size(), now.Size())
	case !now.ModTime().Equal(was.ModTime()):
		return fmt.Errorf("the soundtrack's file changed while it was open, at %s", now.ModTime().Format("15:04:05"))
	}
	return nil
}
