//go:build unix

package plainfile

import (
	"errors"
	"io"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// things puts one of each kind into a folder.
func things(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	l, err := net.Listen("unix", at("socket"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	err = errors.Join(os.WriteFile(at("file"), []byte("text"), 0o600), os.Mkdir(at("folder"), 0o700),
		syscall.Mkfifo(at("pipe"), 0o600), os.Symlink("file", at("link")), os.Symlink("pipe", at("link to a pipe")),
		os.Symlink("/dev/zero", at("device")))
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

// No opening waits: a hang ends the test.
func TestOpen(t *testing.T) {
	dir := things(t)
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	for _, c := range []struct {
		name string
		want error // nil, ErrOther or ErrNotExist
	}{
		{"file", nil}, {"folder", nil}, {"link", nil},
		{"pipe", ErrOther}, {"link to a pipe", ErrOther}, {"socket", ErrOther}, {"device", ErrOther},
		{"nothing", fs.ErrNotExist},
	} {
		f, err := Open(filepath.Join(dir, c.name))
		if !errors.Is(err, c.want) || (f == nil) != (c.want != nil) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
		f.Close()
		if c.name == "device" {
			continue // out of root: refused for that
		}
		f, err = OpenIn(root, c.name)
		if !errors.Is(err, c.want) || (f == nil) != (c.want != nil) {
			t.Errorf("%s in root: %v, want %v", c.name, err, c.want)
		}
		f.Close()
	}
}

// What was a file when it was asked and is a pipe when it is opened is refused
// all the same.
func TestOpenInARace(t *testing.T) {
	dir := things(t)
	for _, name := range []string{"pipe", "link to a pipe", "device"} {
		if _, err := open(os.OpenFile, filepath.Join(dir, name)); !errors.Is(err, ErrOther) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A file reads as if os.Open had opened it.
func TestReadsToTheEnd(t *testing.T) {
	f, err := Open(filepath.Join(things(t), "link"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if b, err := io.ReadAll(f); string(b) != "text" || err != nil {
		t.Errorf("%q, %v", b, err)
	}
	c, err := f.SyscallConn()
	if err != nil {
		t.Fatal(err)
	}
	err = c.Control(func(fd uintptr) {
		if flags, _, e := syscall.Syscall(syscall.SYS_FCNTL, fd, syscall.F_GETFL, 0); e != 0 || flags&syscall.O_NONBLOCK != 0 {
			t.Errorf("flags %#x, %v", flags, e)
		}
	})
	if err != nil {
		t.Error(err)
	}
}
