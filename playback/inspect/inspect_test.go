package inspect

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/check"
	"drylane/testdata/reftest"
)

// TestDemoIsClean: the demo has nothing wrong with it, its witness tone is
// heard, and its console may arm.
func TestDemoIsClean(t *testing.T) {
	path, files, err := folder.Dir(demoFolder(t))
	if err != nil {
		t.Fatal(err)
	}
	facts, err := Everything(t.Context(), path, files, func(float64) {})
	if err != nil {
		t.Fatal(err)
	}
	if tone := facts.Tone; tone == nil || !tone.Found || (tone.At-facts.Show.Witness.At).Abs() > 20e6 || tone.Hz < 998 || tone.Hz > 1002 {
		t.Errorf("the witness, 1000 Hz at 5 s by the demo's score: %+v", facts.Tone)
	}
	found := check.Run(facts)
	if _, warns, _ := found.Counts(); warns > 0 || len(found.Stops()) > 0 {
		t.Errorf("findings: %v", found)
	}
	l, err := folder.OpenFS(path, files)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	if stops := Stops(l, l.Music.Info()); len(stops) > 0 {
		t.Errorf("stops: %q", stops)
	}
	if got := ReadLock(t.Context(), l).Words(); got != "not locked" {
		t.Errorf("lock: %s", got)
	}
}

// TestStarterIsClean: its own check has nothing to say against a new show, and
// hears the witness tone in it.
func TestStarterIsClean(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "first")
	if err := folder.WriteStarter(dir); err != nil {
		t.Fatal(err)
	}
	path, files, err := folder.Dir(dir)
	if err != nil {
		t.Fatal(err)
	}
	facts, err := Everything(t.Context(), path, files, func(float64) {})
	if err != nil {
		t.Fatal(err)
	}
	if tone := facts.Tone; tone == nil || !tone.Found || (tone.At-5*time.Second).Abs() > 20*time.Millisecond || tone.Hz < 998 || tone.Hz > 1002 {
		t.Errorf("the witness, 1000 Hz at 5 s by show.toml: %+v", facts.Tone)
	}
	for _, f := range check.Run(facts) {
		if f.Severity > show.SeverityNote {
			t.Errorf("finding: %s", f)
		}
	}
}

// TestToneIsNotHeardInMusic moves the witness through the demo's music: where
// there is no tone, hardly any is heard.
func TestToneIsNotHeardInMusic(t *testing.T) {
	if testing.Short() {
		t.Skip("whole soundtracks")
	}
	dir := demoFolder(t)
	_, files, err := folder.Dir(dir)
	if err != nil {
		t.Fatal(err)
	}
	s, err := folder.Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	music, err := folder.Sound(files, s.Soundtrack.File)
	if err != nil {
		t.Fatal(err)
	}
	defer music.Close()
	frames := make([][2]float64, music.Len())
	for n := 0; n < len(frames); {
		k, ok := music.Stream(frames[n:])
		if n += k; !ok {
			break
		}
	}
	rate, heard, places := music.Rate(), 0, 0
	for at := 10; at < len(frames)/rate-2; at += 6 {
		places++
		w := witness{at: 1e9, rate: rate, stretch: frames[at*rate : (at+2)*rate]}
		if w.listen().Found {
			heard++
		}
	}
	t.Logf("a tone was heard at %d of %d places without one", heard, places)
	if heard*5 > places {
		t.Errorf("a tone was heard at %d of %d places without one", heard, places)
	}
}

// TestSpoiltMusic has ffmpeg spoil the demo's music in the ways that happen.
func TestSpoiltMusic(t *testing.T) {
	ffmpeg := reftest.Tool(t, "ffmpeg")
	for name, c := range map[string]struct{ filter, code string }{
		"clipped":         {"volume=20dB", check.CodeClipping},
		"left alone":      {"pan=stereo|c0=c0|c1=0*c1", check.CodeSilentChannel},
		"one side turned": {"pan=stereo|c0=c0|c1=-1*c0", check.CodePolarity},
		"no witness":      {"volume=0:enable='between(t,4.5,6.5)'", check.CodeWitnessTone},
	} {
		t.Run(name, func(t *testing.T) {
			dir := demoFolder(t)
			cmd := exec.Command(ffmpeg, "-y", "-loglevel", "error", "-i", filepath.Join(dir, "soundtrack.mp3"), "-t", "20", "-af", c.filter, filepath.Join(dir, "music.wav"))
			if out, err := cmd.CombinedOutput(); err != nil {
				t.Fatalf("%v: %s", err, out)
			}
			useMusic(t, dir, "music.wav")
			codes := checkCodes(t, dir)
			for _, code := range []string{check.CodeClipping, check.CodeSilentChannel, check.CodePolarity, check.CodeWitnessTone} {
				if codes[code] != (code == c.code) {
					t.Errorf("%s: %v in %v", code, codes[code], codes)
				}
			}
		})
	}
}

// TestLockStateOnTheConsole: as locked, then changed; changes are no stops.
func TestLockStateOnTheConsole(t *testing.T) {
	dir := demoFolder(t)
	pinned, err := folder.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer pinned.Close()
	if _, err := Pin(t.Context(), pinned, time.Date(2026, 7, 4, 21, 0, 0, 0, time.UTC)); err != nil {
		t.Fatal(err)
	}
	state := func() string {
		l, err := folder.Open(dir)
		if err != nil {
			t.Fatal(err)
		}
		defer l.Close()
		if stops := Stops(l, l.Music.Info()); len(stops) > 0 {
			t.Errorf("stops: %q", stops)
		}
		r := ReadLock(t.Context(), l)
		<-r.Done()
		return r.Words()
	}
	if got := state(); !strings.HasPrefix(got, "as locked 20") {
		t.Error(got)
	}
	cues := filepath.Join(dir, "cues.csv")
	text, err := os.ReadFile(cues)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(cues, []byte(strings.Replace(string(text), "silver comet", "gold comet", 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	if got := state(); !strings.HasPrefix(got, "changed since 20") || !strings.HasSuffix(got, ": cues.csv") {
		t.Error(got)
	}
}

// TestAlteredFLAC: music that fails the sum in its own header is told by a check,
// which hears all of it.
func TestAlteredFLAC(t *testing.T) {
	dir := demoFolder(t)
	music := filepath.Join(dir, "music.flac")
	cmd := exec.Command(reftest.Tool(t, "ffmpeg"), "-y", "-loglevel", "error", "-i", filepath.Join(dir, "soundtrack.mp3"), "-t", "20", music)
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	useMusic(t, dir, "music.flac")
	if codes := checkCodes(t, dir); codes[check.CodeSoundtrackAltered] {
		t.Error("told of a good file")
	}
	b, err := os.ReadFile(music)
	if err != nil {
		t.Fatal(err)
	}
	b[26] ^= 0x80 // of the MD5, behind the marker, a block's header and 18 bytes
	if err := os.WriteFile(music, b, 0o600); err != nil {
		t.Fatal(err)
	}
	if codes := checkCodes(t, dir); !codes[check.CodeSoundtrackAltered] {
		t.Error("not told")
	}
}

// useMusic names another soundtrack in the demo's show.toml.
func useMusic(t *testing.T, dir, name string) {
	t.Helper()
	toml, err := os.ReadFile(filepath.Join(dir, "show.toml"))
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Replace(string(toml), `file = "soundtrack.mp3"`, `file = "`+name+`"`, 1)
	if err := os.WriteFile(filepath.Join(dir, "show.toml"), []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

// checkCodes are the codes that a check of the folder gives.
func checkCodes(t *testing.T, dir string) map[string]bool {
	t.Helper()
	path, files, err := folder.Dir(dir)
	if err != nil {
		t.Fatal(err)
	}
	facts, err := Everything(t.Context(), path, files, func(float64) {})
	if err != nil {
		t.Fatal(err)
	}
	codes := map[string]bool{}
	for _, f := range check.Run(facts) {
		codes[f.Code] = true
	}
	return codes
}

// TestCompanionOfTheSameSize: a companion whose bytes changed and whose size did not
// is not taken for the one that was locked: it is not read yet, and then changed.
func TestCompanionOfTheSameSize(t *testing.T) {
	dir := demoFolder(t)
	companion := filepath.Join(dir, "code.wav")
	write := func(b byte) {
		t.Helper()
		if err := os.WriteFile(companion, bytes.Repeat([]byte{b}, 100_000), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write(1)
	toml, err := os.ReadFile(filepath.Join(dir, "show.toml"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "show.toml"), append(toml, "\n[[track]]\nfile = \"code.wav\"\n"...), 0o600); err != nil {
		t.Fatal(err)
	}
	l, err := folder.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	if _, err := Pin(t.Context(), l, time.Date(2026, 7, 4, 21, 0, 0, 0, time.UTC)); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		do   func()
		want string
	}{
		{func() {}, "as locked 2026-07-04 21:00 UTC"},
		{func() { write(2) }, "changed since 2026-07-04 21:00 UTC: code.wav"},
		{func() { write(1) }, "as locked 2026-07-04 21:00 UTC"},
		{func() { os.Remove(companion) }, "changed since 2026-07-04 21:00 UTC: code.wav"},
	} {
		c.do()
		_, err := os.Stat(companion)
		if now := Lock(l); (len(now.Unread) == 1) != (err == nil) {
			t.Errorf("at once, unread %q, want the companion: %v", now.Unread, err == nil)
		}
		r := ReadLock(t.Context(), l)
		<-r.Done()
		if got := r.Words(); got != c.want || len(r.Now().Unread) > 0 {
			t.Errorf("read: %q, want %q", got, c.want)
		}
	}
	write(1)
	stopped, stop := context.WithCancel(t.Context())
	stop()
	r := ReadLock(stopped, l)
	<-r.Done()
	if got := r.Words(); got != "code.wav not read yet, the rest as locked 2026-07-04 21:00 UTC" {
		t.Errorf("stopped: %q", got)
	}
}
