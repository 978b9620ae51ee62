package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// A file is one of those that are handed out.
type file struct {
	name string // with slashes
	body []byte
	mode int64
}

// tarball writes the files into an archive, all of the time of the commit and of
// nobody.
func (r *release) tarball(name string, files []file) error {
	var b bytes.Buffer
	packed, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return err
	}
	w := tar.NewWriter(packed)
	for _, f := range files {
		err := w.WriteHeader(&tar.Header{Typeflag: tar.TypeReg, Name: name + "/" + f.name, Mode: f.mode, Size: int64(len(f.body)), ModTime: r.at, Format: tar.FormatUSTAR})
		if err == nil {
			_, err = w.Write(f.body)
		}
		if err != nil {
			return err
		}
	}
	if err := w.Close(); err != nil {
		return err
	}
	if err := packed.Close(); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(r.to, name+".tar.gz"), b.Bytes(), 0o644)
}

// zip is tarball for Windows.
func (r *release) zip(name string, files []file) error {
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, f := range files {
		h := &zip.FileHeader{Name: name + "/" + f.name, Method: zip.Deflate, Modified: r.at}
		h.SetMode(os.FileMode(f.mode))
		part, err := w.CreateHeader(h)
		if err == nil {
			_, err = part.Write(f.body)
		}
		if err != nil {
			return err
		}
	}
	if err := w.Close(); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(r.to, name+".zip"), b.Bytes(), 0o644)
}

// sums is the name of the file with the sums of all others, as sha256sum has them.
const sums = "SHA256SUMS"

func writeSums(dir string) error {
	list, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	var b strings.Builder
	for _, f := range list {
		body, err := os.ReadFile(filepath.Join(dir, f.Name()))
		if err != nil {
			return err
		}
		fmt.Fprintf(&b, "%x  %s\n", sha256.Sum256(body), f.Name())
	}
	return os.WriteFile(filepath.Join(dir, sums), []byte(b.String()), 0o644)
}

// same fails where two folders differ: by their sums, each of which is of that folder's
// own files.
func same(a, b string) error {
	x, err := os.ReadFile(filepath.Join(a, sums))
	if err != nil {
		return err
	}
	y, err := os.ReadFile(filepath.Join(b, sums))
	if err != nil {
		return err
	}
	if !bytes.Equal(x, y) {
		return fmt.Errorf("two builds differ:\n%s\n%s", x, y)
	}
	fmt.Printf("two builds from two folders are the same, %d files to the byte\n", bytes.Count(x, []byte("\n")))
	return nil
}
