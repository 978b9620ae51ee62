package inspect

import (
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"drylane/playback/folder"
	"drylane/show/check"
	"drylane/testdata"
	"drylane/testdata/reftest"
)

// demoFolder writes the demo show into a folder.
func demoFolder(t testing.TB) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "show")
	if err := os.CopyFS(dir, testdata.Demo()); err != nil {
		t.Fatal(err)
	}
	return dir
}

// mediaFindings checks a stick against a show folder.
func mediaFindings(t testing.TB, dir, stick string) check.Findings {
	t.Helper()
	_, files, err := folder.Dir(dir)
	if err != nil {
		t.Fatal(err)
	}
	s, err := folder.Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	found, err := Media(t.Context(), s, files, stick, "", func(string, float64) {})
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// wantOnly fails unless there is one finding, of that code, with that text.
func wantOnly(t *testing.T, found check.Findings, severity, code, text string) {
	t.Helper()
	if len(found) != 1 || found[0].Severity.String() != severity || found[0].Code != code || !strings.Contains(found[0].Found, text) {
		t.Errorf("found %v; want %s %s with %q", found, severity, code, text)
	}
}

// TestMediaReencoded has ffmpeg make what ends up on sticks: the music with
// other tags, and re-encoded with 26 ms of silence before it.
func TestMediaReencoded(t *testing.T) {
	if testing.Short() {
		t.Skip("whole soundtracks")
	}
	ffmpeg := reftest.Tool(t, "ffmpeg")
	dir, stick := demoFolder(t), t.TempDir()
	music := filepath.Join(dir, "soundtrack.mp3")
	run := func(args ...string) {
		t.Helper()
		if out, err := exec.Command(ffmpeg, append([]string{"-y", "-loglevel", "error"}, args...)...).CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
	}
	short := filepath.Join(t.TempDir(), "short.mp3") // 50 s are enough to tell
	run("-i", music, "-t", "50", "-b:a", "192k", short)
	if err := os.Rename(short, music); err != nil {
		t.Fatal(err)
	}
	encode := func(args ...string) {
		t.Helper()
		run(append(append([]string{"-i", music}, args...), filepath.Join(stick, "soundtrack.mp3"))...)
	}
	encode("-c", "copy", "-metadata", "comment=another tag")
	found := mediaFindings(t, dir, stick)
	if len(found) != 1 || found[0].Code != check.CodeMediaSame && found[0].Code != check.CodeMediaCoded {
		t.Errorf("other tags: %v", found)
	}
	encode("-af", "adelay=26:all=1", "-b:a", "128k")
	found = mediaFindings(t, dir, stick)
	wantOnly(t, found, "warn", check.CodeMediaCoded, "same music, re-encoded, 26 ms late: expect cues 26 ms early")
}

// A fileState is all that a look at a file could change.
type fileState struct {
	mode     fs.FileMode
	size     int64
	modified time.Time
	content  string
}

func statesOf(t *testing.T, dir string) map[string]fileState {
	t.Helper()
	states := map[string]fileState{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		st := fileState{mode: info.Mode(), size: info.Size(), modified: info.ModTime()}
		if info.Mode().IsRegular() {
			b, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			st.content = string(b)
		}
		states[path] = st
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return states
}

// TestMediaIsNotTouched checks a stick that has everything to be found on it:
// names, kinds, sizes, times and contents are the same before and after, of
// the folders too, and so are those of the show.
func TestMediaIsNotTouched(t *testing.T) {
	dir, stick := demoFolder(t), t.TempDir()
	music, err := os.ReadFile(filepath.Join(dir, "soundtrack.mp3"))
	if err != nil {
		t.Fatal(err)
	}
	long := time.Now().Add(-1000 * time.Hour)
	for name, data := range map[string][]byte{
		"SOUNDTRACK.mp3": music[:len(music)/2], "soundtrack (1).mp3": music, "._soundtrack.mp3": nil,
		"old/soundtrack.mp3": music, "notes.txt": []byte("x"), ".hidden/soundtrack.mp3": []byte("x"),
	} {
		path := filepath.Join(stick, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, data, 0o444); err != nil {
			t.Fatal(err)
		}
		for _, p := range []string{path, filepath.Dir(path)} {
			if err := os.Chtimes(p, long, long); err != nil {
				t.Fatal(err)
			}
		}
	}
	before, showBefore := statesOf(t, stick), statesOf(t, dir)
	found := mediaFindings(t, dir, stick)
	if !reflect.DeepEqual(before, statesOf(t, stick)) {
		t.Error("the stick is not as it was")
	}
	if !reflect.DeepEqual(showBefore, statesOf(t, dir)) {
		t.Error("the show folder is not as it was")
	}
	codes := map[string]int{}
	for _, f := range found {
		codes[f.Code]++
	}
	if codes[check.CodeMediaName] != 1 || codes[check.CodeMediaCut] != 1 || codes[check.CodeMediaCopy] != 4 {
		t.Errorf("found %v", found)
	}
}
