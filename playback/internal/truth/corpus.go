package truth

import (
	"cmp"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/fnv"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// A Half is the part of a corpus that a piece belongs to: a half to tune by, a half that
// is held back and never looked at while tuning, and music of other packages that was
// not even heard until all was settled.
type Half string

// The halves.
const (
	Tuned    Half = "tuned"
	HeldBack Half = "held back"
	Unheard  Half = "unheard"
)

// A Source is a piece of the corpus before it is played.
type Source struct {
	Name string
	MIDI []byte
	Font string // path of the sound font

	unheard bool // its package is
}

// Half is told by the name alone: the lowest bit of its FNV-1a hash; but all of a
// package may be unheard.
func (s Source) Half() Half {
	if s.unheard {
		return Unheard
	}
	if hashed(s.Name)&1 == 0 {
		return Tuned
	}
	return HeldBack
}

func hashed(s string) uint32 {
	h := fnv.New32a()
	h.Write([]byte(s))
	return h.Sum32()
}

// packs are the packages that the corpus is taken from, and how many pieces of each:
// those with the lowest hashes of their names.
var packs = []struct {
	name, glob string
	most       int
	unheard    bool
}{
	{"openmsx", "usr/share/games/openttd/baseset/openmsx/*.mid", 12, false},
	{"simutrans", "usr/share/games/simutrans/music/*.mid", 18, false},
	{"freedoom", "usr/share/games/doom/freedoom*.wad", 16, false},
	{"freedink", "usr/share/games/dink/dink/Sound/*.mid", 16, true},
	{"mma", "usr/share/doc/mma/examples/*/*.mid", 16, true},
}

// Debian's packages fluid-soundfont-gm, timgm6mb-soundfont and denemo-data. Which
// one plays a piece is told by its name, so that no half has a sound of its own.
var fonts = []string{
	"usr/share/sounds/sf2/FluidR3_GM.sf2",
	"usr/share/sounds/sf2/TimGM6mb.sf2",
	"usr/share/sounds/sf2/A320U.sf2",
}

// Pieces of the corpus last so long: shorter ones are jingles.
const (
	shortestPiece = 55 * time.Second
	longestPiece  = 5 * time.Minute
)

// Corpus returns pieces of Debian's packages openttd-openmsx, simutrans-data, freedoom,
// freedink-data and mma, as far as they lie under root, each with one of the sound fonts
// that do. What no pack or no font has is left out. An error says that nothing was found.
func Corpus(root string) ([]Source, error) {
	var found []string
	for _, f := range fonts {
		if path := filepath.Join(root, f); exists(path) {
			found = append(found, path)
		}
	}
	if len(found) == 0 {
		return nil, fmt.Errorf("found no sound font under %s; wanted that of the package timgm6mb-soundfont", root)
	}
	var out []Source
	for _, p := range packs {
		list, err := readPack(p.name, filepath.Join(root, p.glob))
		if err != nil {
			return nil, err
		}
		for _, s := range list[:min(p.most, len(list))] {
			s.unheard = p.unheard
			out = append(out, s)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("found no MIDI files under %s; wanted those of the package simutrans-data", root)
	}
	for i, s := range out {
		out[i].Font = found[int(hashed(s.Name)>>8)%len(found)]
	}
	return out, nil
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// readPack returns the pieces of a package that are neither too short nor too long,
// in order of the hash of their names.
func readPack(pack, glob string) ([]Source, error) {
	paths, err := filepath.Glob(glob)
	if err != nil {
		return nil, err
	}
	var out []Source
	for _, path := range paths {
		b, err := os.ReadFile(path)
		if err != nil {
			return nil, err
		}
		stem := strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
		if filepath.Ext(path) != ".wad" {
			out = append(out, Source{Name: name(pack, stem), MIDI: b})
			continue
		}
		lumps, err := midiLumps(b)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		for _, l := range lumps {
			out = append(out, Source{Name: name(pack, stem[len(stem)-1:]+"-"+l.Name), MIDI: l.MIDI})
		}
	}
	out = slices.DeleteFunc(out, func(s Source) bool {
		g, err := ReadGrid(strings.NewReader(string(s.MIDI)))
		return err != nil || len(g.Beats) == 0 || g.Beats[len(g.Beats)-1] < shortestPiece || g.Beats[len(g.Beats)-1] > longestPiece
	})
	slices.SortFunc(out, func(a, b Source) int { return cmp.Compare(hashed(a.Name+"#pick"), hashed(b.Name+"#pick")) })
	// The same music may lie in a package twice.
	seen := map[string]bool{}
	return slices.DeleteFunc(out, func(s Source) bool { was := seen[string(s.MIDI)]; seen[string(s.MIDI)] = true; return was }), nil
}

func name(pack, stem string) string {
	return pack + "-" + strings.ReplaceAll(strings.ToLower(stem), " ", "_")
}

// midiLumps returns the MIDI files in a WAD archive: twelve bytes of header, of
// which the last eight are the number of lumps and the place of their list, sixteen
// bytes a lump: place, size and a name of eight bytes.
func midiLumps(b []byte) ([]Source, error) {
	errWAD := errors.New("not a whole WAD archive")
	if len(b) < 12 {
		return nil, errWAD
	}
	n, at := binary.LittleEndian.Uint32(b[4:]), int64(binary.LittleEndian.Uint32(b[8:]))
	var out []Source
	for i := range int64(n) {
		if at+16*i+16 > int64(len(b)) {
			return nil, errWAD
		}
		entry := b[at+16*i:]
		from, size := int64(binary.LittleEndian.Uint32(entry)), int64(binary.LittleEndian.Uint32(entry[4:]))
		if from+size > int64(len(b)) {
			return nil, errWAD
		}
		if lump := b[from : from+size]; strings.HasPrefix(string(lump), "MThd") {
			out = append(out, Source{Name: strings.TrimRight(string(entry[8:16]), "\x00"), MIDI: lump})
		}
	}
	return out, nil
}

// Play renders the piece into the WAV file at path.
func (s Source) Play(ctx context.Context, path string) error {
	f, err := os.CreateTemp(filepath.Dir(path), "*.mid")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	defer f.Close()
	if _, err := f.Write(s.MIDI); err != nil {
		return err
	}
	return play(ctx, s.Font, f.Name(), path)
}

// play has fluidsynth play a MIDI file into a WAV file.
func play(ctx context.Context, font, midi, wav string) error {
	out, err := exec.CommandContext(ctx, "fluidsynth", "-n", "-i", "-q", "-g", "0.5", "-r", "44100", "-F", wav, font, midi).CombinedOutput()
	if err != nil {
		return fmt.Errorf("fluidsynth: %w: %s", err, out)
	}
	return nil
}
