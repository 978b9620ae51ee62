// Release builds what is handed out: for each system an archive with the program, its
// manual page, what makes shells complete it, the licences of all that is linked and a
// bill of materials, for Linux packages as well, and the sums of all of them.
//
//	go run ./.ci/release -version 1.2.0 -to /tmp/release -twice
//
// It builds what is committed, from a clone, so that the program can tell its commit.
// With -twice it does all of it a second time, from a clone in another folder, and
// fails where a byte differs. The Go proxy is asked for nfpm and cyclonedx-gomod.
package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// The tools that are asked for packages and for bills of materials.
const (
	nfpm      = "github.com/goreleaser/nfpm/v2/cmd/nfpm@v2.43.1"
	cyclonedx = "github.com/CycloneDX/cyclonedx-gomod/cmd/cyclonedx-gomod@v1.9.0"
)

// A release is one pass over all that is built.
type release struct {
	version string
	targets []target
	fresh   bool      // compile all anew, with a build cache of its own
	dir     string    // of the clone
	work    string    // for what is made on the way
	to      string    // for what is handed out
	at      time.Time // of the commit: all files bear this time
}

// A target is a system to build for.
type target struct{ os, arch string }

func (t target) String() string { return t.os + "-" + t.arch }

func main() {
	version := flag.String("version", "", "the version, such as 1.2.0")
	to := flag.String("to", "", "the folder to write, which must not be there yet")
	targets := flag.String("targets", "linux/amd64,linux/arm64,darwin/amd64,darwin/arm64,windows/amd64,windows/arm64", "what to build for")
	twice := flag.Bool("twice", false, "build a second time, in another folder, and compare")
	fresh := flag.Bool("fresh", false, "with -twice: compile all of it a second time, too")
	flag.Parse()
	if err := run(*version, *to, *targets, *twice, *fresh); err != nil {
		fmt.Fprintln(os.Stderr, "release:", err)
		os.Exit(1)
	}
}

func run(version, to, targets string, twice, fresh bool) error {
	if version == "" || to == "" || strings.Trim(version, "0123456789.") != "" {
		return fmt.Errorf("found -version %q and -to %q; wanted a version such as 1.2.0, and a folder", version, to)
	}
	if err := os.Mkdir(to, 0o755); err != nil {
		return err
	}
	to, err := filepath.Abs(to)
	if err != nil {
		return err
	}
	r := release{version: version, to: to}
	for s := range strings.SplitSeq(targets, ",") {
		goos, arch, _ := strings.Cut(s, "/")
		r.targets = append(r.targets, target{goos, arch})
	}
	if err := r.pass(); err != nil || !twice {
		return err
	}
	second := r
	second.fresh = fresh
	if second.to, err = os.MkdirTemp("", "release-second-"); err != nil {
		return err
	}
	defer os.RemoveAll(second.to)
	if err := second.pass(); err != nil {
		return err
	}
	return same(r.to, second.to)
}

// pass builds everything once, from a clone of its own.
func (r *release) pass() error {
	work, err := os.MkdirTemp("", "release-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	r.work, r.dir = work, filepath.Join(work, "a folder of its own", "drylane")
	if err := r.clone(); err != nil {
		return err
	}
	program, err := r.build(host, "host")
	if err != nil {
		return err
	}
	shared, err := r.fromProgram(program)
	if err != nil {
		return err
	}
	for _, t := range r.targets {
		began := time.Now()
		if err := r.target(t, shared); err != nil {
			return fmt.Errorf("%v: %w", t, err)
		}
		fmt.Printf("%v: %.1f s\n", t, time.Since(began).Seconds())
	}
	return writeSums(r.to)
}

// target builds what is handed out for one system.
func (r *release) target(t target, shared []file) error {
	name := "drylane-" + r.version + "-" + t.String()
	program, err := r.build(t, name)
	if err != nil {
		return err
	}
	licences, err := licencesOf(program)
	if err != nil {
		return err
	}
	bill, err := r.bill(program)
	if err != nil {
		return err
	}
	exe := "drylane"
	if t.os == "windows" {
		exe += ".exe"
	}
	body, err := os.ReadFile(program)
	if err != nil {
		return err
	}
	files := append([]file{{exe, body, 0o755}, {"licences.txt", licences, 0o644}, {"bill-of-materials.cdx.json", bill, 0o644}}, shared...)
	if t.os == "windows" {
		return r.zip(name, files)
	}
	if err := r.tarball(name, files); err != nil || t.os != "linux" {
		return err
	}
	return r.packages(t, files)
}
