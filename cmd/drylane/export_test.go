package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/exchange"
	"drylane/testdata/reftest"
)

// quietEnv is an env that nobody reads.
func quietEnv(ctx context.Context) *env {
	return &env{ctx: ctx, in: os.Stdin, out: new(bytes.Buffer), errOut: new(bytes.Buffer)}
}

// soundOf is the sound of a file as sox decodes it, in 24 bits.
func soundOf(t *testing.T, path string) []byte {
	t.Helper()
	out, err := exec.Command(reftest.Tool(t, "sox"), "-D", path, "-t", "raw", "-b", "24", "-e", "signed", "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// TestExportDecodes: a soundtrack that is no WAV file is decoded, bit for bit
// as sox does, and the cues come back from the markers in it.
func TestExportDecodes(t *testing.T) {
	for _, format := range []string{"s16", "s32"} { // FLAC of 16 and of 24 bits
		dir, out := t.TempDir(), filepath.Join(t.TempDir(), "out.wav")
		cues := []show.Cue{{ID: "1", EffectAt: 5e8, Position: "A", Effect: "mine"}, {ID: "2", EffectAt: 15e8, Prefire: 2e8, Position: "A"}}
		music := filepath.Join(dir, "music.flac")
		if b, err := exec.Command(reftest.Tool(t, "ffmpeg"), "-loglevel", "error", "-f", "lavfi", "-i", "anoisesrc=d=2:r=44100:a=0.4", "-ac", "2", "-sample_fmt", format, music).CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, b)
		}
		write := func(name string, data []byte) error { return os.WriteFile(filepath.Join(dir, name), data, 0o600) }
		if err := (exchange.Folder{Title: "x", Soundtrack: "music.flac", Cues: cues}).Write(write); err != nil {
			t.Fatal(err)
		}
		if err := (&exportCmd{Dir: dir, Markers: out}).Run(quietEnv(t.Context())); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(soundOf(t, out), soundOf(t, music)) {
			t.Errorf("%s: the sound has changed", format)
		}
		table, err := readMarkers(out)
		if err != nil {
			t.Fatal(err)
		}
		res, err := exchange.Convert(table, exchange.Profile{})
		if err != nil || len(res.Cues) != 2 || res.Cues[0].EffectAt != cues[0].EffectAt || res.Cues[1].Prefire != cues[1].Prefire || res.Cues[0].Effect != "mine" {
			t.Errorf("%s: %v %+v", format, err, res)
		}
		left, _ := filepath.Glob(filepath.Join(filepath.Dir(out), ".drylane*"))
		if len(left) > 0 {
			t.Errorf("left behind: %q", left)
		}
	}
}

// TestImportStopped: an import that is stopped while it copies the music
// leaves nothing behind.
func TestImportStopped(t *testing.T) {
	dir := t.TempDir()
	music := filepath.Join(dir, "music.wav")
	if err := folder.WriteStarter(filepath.Join(dir, "first")); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(filepath.Join(dir, "first", folder.NoSoundtrack), music); err != nil {
		t.Fatal(err)
	}
	if err := os.RemoveAll(filepath.Join(dir, "first")); err != nil {
		t.Fatal(err)
	}
	list := filepath.Join(dir, "list.csv")
	if err := os.WriteFile(list, []byte("cue,effect_at,position\n1,5,A\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if err := (&importCmd{File: list, To: filepath.Join(dir, "show"), Soundtrack: music}).Run(quietEnv(ctx)); err == nil {
		t.Error("a stopped import was carried through")
	}
	names := []string{}
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		names = append(names, e.Name())
	}
	if !slices.Equal(names, []string{"list.csv", "music.wav"}) {
		t.Errorf("left behind: %q", names)
	}
}
