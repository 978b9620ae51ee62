package folder

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	"drylane/playback"
	"drylane/testdata"
)

// demo copies the demo show into a folder of its own.
func demo(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(dir, testdata.Demo()); err != nil {
		t.Fatal(err)
	}
	return dir
}

// swapping is a folder whose soundtrack is another file at each opening, as if
// somebody changed it at the worst moments.
type swapping struct {
	fs.FS
	opened int
}

func (s *swapping) Open(name string) (fs.File, error) {
	if name == "soundtrack.mp3" {
		if s.opened++; s.opened > 1 {
			return s.FS.Open("cues.csv")
		}
	}
	return s.FS.Open(name)
}

// TestOneFile: what is hashed, played and read by anybody is one file, opened once.
func TestOneFile(t *testing.T) {
	files := &swapping{FS: testdata.Demo()}
	f, err := OpenFS("demo", files)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	length := f.Music.Len()
	for range 3 {
		s, err := f.OpenMusic()
		if err != nil {
			t.Fatal(err)
		}
		if s.Len() != length {
			t.Errorf("opened again: %d frames, want %d", s.Len(), length)
		}
		s.Close()
	}
	if files.opened != 1 {
		t.Errorf("opened %d times", files.opened)
	}
	if got := sumOf(t, f); got != f.SHA256 {
		t.Errorf("hashed %s, reads %s", f.SHA256, got)
	}
}

// sumOf is the SHA-256 of what MusicFile reads.
func sumOf(t *testing.T, f *Folder) string {
	t.Helper()
	r, err := f.MusicFile()
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	h := sha256.New()
	if _, err := io.Copy(h, r); err != nil {
		t.Fatal(err)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// TestMusicChanged: a change of the file itself is told; another file under its
// name is none, and the first goes on being read.
func TestMusicChanged(t *testing.T) {
	for _, c := range []struct {
		name string
		do   func(path string) error
		want bool
	}{
		{"nothing", func(string) error { return nil }, false},
		{"cut short", func(path string) error { return os.Truncate(path, 1000) }, true},
		{"written over, the same size", func(path string) error {
			f, err := os.OpenFile(path, os.O_WRONLY, 0)
			if err != nil {
				return err
			}
			defer f.Close()
			_, err = f.WriteAt(bytes.Repeat([]byte{0x55}, 4096), 100_000)
			return err
		}, true},
		{"another put there", func(path string) error {
			if err := os.WriteFile(path+".new", []byte("another"), 0o600); err != nil {
				return err
			}
			return os.Rename(path+".new", path)
		}, false},
		{"removed", os.Remove, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := demo(t)
			path := filepath.Join(dir, "soundtrack.mp3")
			long := time.Now().Add(-time.Hour) // a change now then has another time
			if err := os.Chtimes(path, long, long); err != nil {
				t.Fatal(err)
			}
			f, err := Open(dir)
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			if err := c.do(path); err != nil {
				t.Fatal(err)
			}
			if err := f.MusicChanged(); (err != nil) != c.want {
				t.Errorf("changed: %v, want %v", err, c.want)
			}
			if same := sumOf(t, f) == f.SHA256; same == c.want {
				t.Errorf("reads as hashed: %v", same)
			}
		})
	}
}

// TestReadersOutliveTheFolder: who still reads when the folder is closed may go on,
// and the file is closed behind the last of them.
func TestReadersOutliveTheFolder(t *testing.T) {
	f, err := Open(demo(t))
	if err != nil {
		t.Fatal(err)
	}
	s, err := f.OpenMusic()
	if err != nil {
		t.Fatal(err)
	}
	f.Close()
	f.Close()
	buf := make([][2]float64, 1000)
	if n, ok := s.Stream(buf); n != len(buf) || !ok {
		t.Errorf("%d frames, %v", n, s.Err())
	}
	s.Close()
	var open *playback.Soundtrack
	if open, err = f.OpenMusic(); err == nil {
		open.Close()
		t.Error("the file is still open")
	}
}
