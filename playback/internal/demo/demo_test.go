package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"os"
	"sync"
	"testing"

	"drylane/playback/internal/demo/cuelist"
	"drylane/playback/internal/demo/score"
	"drylane/testdata"
)

// The demo is composed and rendered once for all tests.
var (
	piece    = sync.OnceValue(score.Compose)
	rendered = sync.OnceValue(func() [][2]float64 { return piece().Render() })
)

func demoCues(t *testing.T) []cuelist.Line {
	t.Helper()
	cues, err := cuelist.Build(piece().Accents)
	if err != nil {
		t.Fatal(err)
	}
	return cues
}

func demoFile(t *testing.T, name string) []byte {
	t.Helper()
	data, err := fs.ReadFile(testdata.Demo(), name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// regenerate tells how to bring the committed files up to date.
const regenerate = "run `go run ./playback/internal/demo -to DIR` and copy its files"

// The committed files are what the generator makes now.
func TestDemoFilesAreCurrent(t *testing.T) {
	t.Parallel()
	var list, accents, show bytes.Buffer
	if err := cuelist.Write(&list, demoCues(t)); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(list.Bytes(), demoFile(t, "cues.csv")) {
		t.Errorf("cues.csv is not what the generator makes: %s", regenerate)
	}
	hash := sha256.Sum256(demoFile(t, "soundtrack.mp3"))
	if err := cuelist.WriteShow(&show, hex.EncodeToString(hash[:])); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(show.Bytes(), demoFile(t, "show.toml")) {
		t.Errorf("show.toml is not what the generator makes for the soundtrack: %s", regenerate)
	}
	if err := cuelist.WriteAccents(&accents, piece().Accents); err != nil {
		t.Fatal(err)
	}
	committed, err := os.ReadFile("../../../testdata/demo/accents.csv")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(accents.Bytes(), committed) {
		t.Errorf("accents.csv is not what the generator makes: %s", regenerate)
	}
}
