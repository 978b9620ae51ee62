// Command demo is a tool that composes the demo show and writes it into a folder;
// nothing that is shipped imports it.
//
//	go run ./playback/internal/demo -to DIR
//
// It writes soundtrack.wav, accents.csv (where the music's accents truly are),
// cues.csv and show.toml. Where LAME is installed it also makes soundtrack.mp3,
// the file that show.toml pins by its hash, with
//
//	lame --silent --cbr -b 128 -m j -q 2 --noreplaygain soundtrack.wav soundtrack.mp3
//
// The demo in this repository was made with LAME 3.100 on amd64: cues.csv,
// show.toml and soundtrack.mp3 stand in testdata/demo/show, accents.csv beside it.
package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"

	"drylane/playback"
	"drylane/playback/internal/demo/cuelist"
	"drylane/playback/internal/demo/score"
)

func main() {
	to := flag.String("to", "", "folder to write into")
	flag.Parse()
	if *to == "" || flag.NArg() > 0 {
		flag.Usage()
		os.Exit(2)
	}
	if err := generate(*to); err != nil {
		fmt.Fprintln(os.Stderr, "gen:", err)
		os.Exit(1)
	}
}

func generate(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	piece := score.Compose()
	cues, err := cuelist.Build(piece.Accents)
	if err != nil {
		return err
	}
	var list, accents, show bytes.Buffer
	err = errors.Join(
		cuelist.Write(&list, cues),
		cuelist.WriteAccents(&accents, piece.Accents),
		put(dir, "cues.csv", &list),
		put(dir, "accents.csv", &accents),
		writeWAV(filepath.Join(dir, "soundtrack.wav"), piece.Render()),
	)
	if err != nil {
		return err
	}
	hash, err := encode(dir)
	if err != nil {
		return err
	}
	return errors.Join(cuelist.WriteShow(&show, hash), put(dir, "show.toml", &show))
}

func put(dir, name string, data *bytes.Buffer) error {
	return os.WriteFile(filepath.Join(dir, name), data.Bytes(), 0o644)
}

func writeWAV(name string, frames [][2]float64) error {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	defer f.Close()
	w, err := playback.NewWAVWriter(f, score.Rate, 2, playback.WAVInt16)
	if err != nil {
		return err
	}
	return errors.Join(w.Write(frames), w.Close(), f.Close())
}

// encode makes soundtrack.mp3 and returns its hash. Without LAME it leaves the
// hash empty, which pins nothing.
func encode(dir string) (string, error) {
	lame, err := exec.LookPath("lame")
	if err != nil {
		fmt.Fprintln(os.Stderr, "gen: lame is not installed: no soundtrack.mp3, and show.toml does not pin it")
		return "", nil
	}
	mp3 := filepath.Join(dir, "soundtrack.mp3")
	args := append(cuelist.LameOptions(), filepath.Join(dir, "soundtrack.wav"), mp3)
	if out, err := exec.Command(lame, args...).CombinedOutput(); err != nil {
		return "", fmt.Errorf("lame: %w: %s", err, out)
	}
	data, err := os.ReadFile(mp3)
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:]), nil
}
