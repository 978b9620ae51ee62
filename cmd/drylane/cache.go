package main

import (
	"fmt"
	"os"
	"path/filepath"
	"text/tabwriter"

	"drylane/playback/cache"
	"drylane/show"
	"drylane/show/words"

	"github.com/adrg/xdg"
)

// cacheMost is how much is kept of sound files at most, in bytes: the waveform of half
// an hour takes 4 MB, all else together less than 1.
const cacheMost = 256 << 20

// userCache is what is kept of sound files for the user.
func userCache() *cache.Store {
	return cache.New(filepath.Join(xdg.CacheHome, "drylane", "sound"), cacheMost)
}

// cacheFlag is the flag of the commands that listen.
type cacheFlag struct {
	NoCache bool `help:"Listen anew to what has been listened to before, and keep nothing of it."`
}

// AfterApply is called once the flags have been read.
func (c cacheFlag) AfterApply() error {
	if c.NoCache {
		cache.Use(nil)
	}
	return nil
}

type cacheCmd struct {
	Show  cacheShowCmd  `cmd:"" default:"1" help:"Print where it is and how much it holds."`
	Clear cacheClearCmd `cmd:"" help:"Remove all of it."`
}

func (cacheCmd) Help() string {
	return "What was worked out from a sound file is kept in the user's cache, by the hash of the file's bytes: waveform, accents and beats, loudness, where the music changes, what a comparison said. The next command on the same file takes it from there, whatever the file is called by then. The cache holds 256 MB at most; what has gone unused for longest goes first. Nothing is lost by removing it.\n\nExamples:\n\n  drylane cache\n  drylane cache clear"
}

type cacheShowCmd struct{}

func (cacheShowCmd) Help() string { return "Example:\n\n  drylane cache show" }

func (cacheShowCmd) Run(e *env) error {
	s := userCache()
	u, err := s.Usage()
	if err != nil {
		return fmt.Errorf("the cache cannot be read: %w", err)
	}
	w := tabwriter.NewWriter(e.out, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "folder\t%s\n", show.Clean(s.Dir()))
	fmt.Fprintf(w, "size\t%s of 256 MB\n", megabytes(u.Bytes))
	fmt.Fprintf(w, "files\t%d\n", u.Entries)
	return w.Flush()
}

type cacheClearCmd struct{}

func (cacheClearCmd) Help() string { return "Example:\n\n  drylane cache clear" }

func (cacheClearCmd) Run(e *env) error {
	u, err := userCache().Clear()
	if err != nil {
		return fmt.Errorf("not all of the cache can be removed: %w", err)
	}
	// Where onsets were kept before there was one cache for everything.
	os.RemoveAll(filepath.Join(xdg.CacheHome, "drylane", "onsets"))
	_, err = fmt.Fprintf(e.out, "removed %s, %s\n", words.Count(u.Entries, "file"), megabytes(u.Bytes))
	return err
}

// megabytes is a count of bytes in MB (2^20 bytes) to a tenth, rounded up.
func megabytes(n int64) string {
	return fmt.Sprintf("%.1f MB", float64((n*10+1<<20-1)>>20)/10)
}
