package main

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// places are where the files of a Linux package go.
var places = []struct{ file, to string }{
	{"drylane", "/usr/bin/drylane"},
	{"drylane.1", "/usr/share/man/man1/drylane.1.gz"},
	{"completion/drylane.bash", "/usr/share/bash-completion/completions/drylane"},
	{"completion/_drylane", "/usr/share/zsh/vendor-completions/_drylane"},
	{"completion/drylane.fish", "/usr/share/fish/vendor_completions.d/drylane.fish"},
	{"README.md", "/usr/share/doc/drylane/README.md"},
	{"LICENSE", "/usr/share/doc/drylane/copyright"},
	{"licences.txt", "/usr/share/doc/drylane/licences.txt"},
	{"bill-of-materials.cdx.json", "/usr/share/doc/drylane/bill-of-materials.cdx.json"},
}

// packages writes a .deb and a .rpm.
func (r *release) packages(t target, files []file) error {
	dir, err := os.MkdirTemp(r.work, "package-")
	if err != nil {
		return err
	}
	bodies := map[string]file{}
	for _, f := range files {
		bodies[f.name] = f
	}
	var contents strings.Builder
	for i, p := range places {
		f := bodies[p.file]
		if strings.HasSuffix(p.to, ".gz") {
			f.body = gzipped(f.body)
		}
		path := filepath.Join(dir, fmt.Sprint(i))
		if err := os.WriteFile(path, f.body, 0o600); err != nil {
			return err
		}
		fmt.Fprintf(&contents, "  - src: %q\n    dst: %s\n    file_info: {mode: 0%o, mtime: %s}\n", path, p.to, f.mode, r.at.Format(time.RFC3339))
	}
	config := filepath.Join(dir, "nfpm.yaml")
	if err := os.WriteFile(config, []byte(r.describe(t)+contents.String()), 0o600); err != nil {
		return err
	}
	for _, kind := range []string{"deb", "rpm"} {
		to := filepath.Join(r.to, fmt.Sprintf("drylane-%s-%v.%s", r.version, t, kind))
		_, err := command(r.dir, []string{"GOFLAGS=", "SOURCE_DATE_EPOCH=" + fmt.Sprint(r.at.Unix())}, "go", "run", nfpm, "package", "-f", config, "-p", kind, "-t", to)
		if err != nil {
			return err
		}
	}
	return nil
}

// describe is what a package says of itself.
func (r *release) describe(t target) string {
	return fmt.Sprintf(`name: drylane
arch: %s
platform: linux
version: %s
section: sound
priority: optional
maintainer: the authors of drylane <drylane@localhost>
description: |
  rehearsal console for firework displays that are fired to music
  It is no firing system: it fires nothing and controls nothing.
license: MIT
recommends: [espeak-ng, ffmpeg]
mtime: %s
rpm:
  buildhost: localhost
contents:
`, t.arch, r.version, r.at.Format(time.RFC3339))
}

// gzipped is packed without a name or a time.
func gzipped(body []byte) []byte {
	var b bytes.Buffer
	w, _ := gzip.NewWriterLevel(&b, gzip.BestCompression) // it fails for a wrong level alone
	w.Write(body)
	w.Close() // a buffer takes everything
	return b.Bytes()
}
