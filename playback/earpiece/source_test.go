package earpiece

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"drylane/playback/crew"
	"drylane/playback/folder"
	"drylane/playback/inspect"
	"drylane/playback/wavtest"
	roles "drylane/show/crew"
)

// writeShow writes a show with pips for the Quay, and returns its folder.
func writeShow(t *testing.T, loud float64, cue string) string {
	t.Helper()
	dir := t.TempDir()
	frames := make([][2]float64, 22050*8)
	for i := range frames {
		frames[i] = [2]float64{loud * float64(i%100) / 100, 0}
	}
	wavtest.Write(t, filepath.Join(dir, "music.wav"), 22050, 2, frames)
	for name, text := range map[string]string{
		"cues.csv": "cue,effect_at,prefire,position,effect,burn\n" + cue + ",6.000,0,Quay,candle shot,0.2\n",
		"show.toml": "title = \"Noise\"\ncues = \"cues.csv\"\nsoundtrack.file = \"music.wav\"\n" +
			"[[track]]\nfile = \"quay.wav\"\nleft = \"pips Quay\"\nright = \"silence\"\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// leadCopy is what a lead tells of the show in a folder, locked or not.
func leadCopy(t *testing.T, dir string, locked bool) crew.Copy {
	t.Helper()
	f, err := folder.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if locked {
		if _, err := inspect.Pin(t.Context(), f, time.Now()); err != nil {
			t.Fatal(err)
		}
	}
	return Copied(t.Context(), f)
}

// retag lets something stand behind the sound of a show's music.
func retag(t *testing.T, dir string) {
	t.Helper()
	path := filepath.Join(dir, "music.wav")
	data, err := os.ReadFile(path)
	if err == nil {
		chunk := "LIST\x04\x00\x00\x00INFO"
		data = append(data, chunk...)
		data[4] += byte(len(chunk)) // of the size of all that follows; there is no carry
		err = os.WriteFile(path, data, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// TestCopies: what is played is a copy of what the lead plays, or nothing.
func TestCopies(t *testing.T) {
	lead := writeShow(t, 0.5, "1")
	plain, locked := leadCopy(t, lead, false), leadCopy(t, lead, true)
	same, other, recued, tagged := writeShow(t, 0.5, "1"), writeShow(t, 0.4, "1"), writeShow(t, 0.5, "2"), writeShow(t, 0.5, "1")
	retag(t, tagged)
	quay, mole := roles.Role{Kind: roles.Position, Position: "Quay"}, roles.Role{Kind: roles.Position, Position: "Mole"}
	for _, c := range []struct {
		name  string
		dir   string
		hear  Hear
		role  roles.Role
		lead  crew.Copy
		wrong string
	}{
		{"a copy, music", same, Music, quay, plain, ""},
		{"a copy, calls", same, Calls, quay, plain, ""},
		{"no calls for that position", same, Calls, mole, plain, "found no track with calls for Mole"},
		{"other music", other, Music, quay, locked, "music.wav: found another soundtrack than the lead's"},
		{"other cues, calls", recued, Calls, quay, plain, "found other cues or calls there than the lead's"},
		{"other cues, music", recued, Music, quay, plain, ""},
		{"other tags, lead not locked", tagged, Music, quay, plain, "found another soundtrack"},
		{"other tags, lead locked", tagged, Music, quay, locked, ""},
		{"a lead that tells nothing", same, Music, quay, crew.Copy{}, "found another soundtrack"},
		{"no folder", filepath.Join(same, "none"), Music, quay, plain, "found no show folder"},
	} {
		s, err := Open(t.Context(), c.dir, c.hear, c.role, c.lead)
		switch {
		case c.wrong != "" && (err == nil || !strings.Contains(err.Error(), c.wrong)):
			t.Errorf("%s: %v; wanted %q", c.name, err, c.wrong)
		case c.wrong == "" && err != nil:
			t.Errorf("%s: %v", c.name, err)
		case err == nil:
			var buf [100][2]float64
			if n, ok := s.Stream.Stream(buf[:]); n != len(buf) || !ok || s.Rate != 22050 {
				t.Errorf("%s: %d frames at %d Hz", c.name, n, s.Rate)
			}
			if want := map[Hear]string{Music: "music", Calls: "quay.wav"}[c.hear]; s.Name != want {
				t.Errorf("%s: it is called %q; wanted %q", c.name, s.Name, want)
			}
		}
		if err == nil {
			s.Close()
		}
	}
}

// TestForRole: what is heard by whom.
func TestForRole(t *testing.T) {
	for text, want := range map[string]Hear{"position:Quay": Calls, "listener": Music, "safety": Nothing, "spotter": Nothing, "trainer": Nothing} {
		r, err := roles.ParseRole(text)
		if err != nil {
			t.Fatal(err)
		}
		if got := ForRole(r); got != want || got.Check(r) != nil {
			t.Errorf("%s: %s, %v; wanted %s", text, got, got.Check(r), want)
		}
		if err := Calls.Check(r); (err == nil) != (r.Kind == roles.Position) {
			t.Errorf("%s and calls: %v", text, err)
		}
	}
}
