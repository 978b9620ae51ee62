package lock

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"drylane/show"

	"pgregory.net/rapid"
)

func sum(s string) string {
	h := sha256.Sum256([]byte(s))
	return hex.EncodeToString(h[:])
}

var day = time.Date(2026, 5, 1, 20, 30, 0, 0, time.UTC)

// small is a lock of a small show whose files hold the given texts.
func small(cues []show.Cue, texts map[string]string) *Lock {
	var files []Entry
	for _, e := range []Entry{
		{File: "show.toml", Role: RoleShow}, {File: "cues.csv", Role: RoleCues},
		{File: "music.wav", Role: RoleSoundtrack, Audio: sum("sound")}, {File: "code.wav", Role: RoleCompanion},
	} {
		if text, there := texts[e.File]; there {
			e.SHA256, e.Size = sum(text), int64(len(text))
			files = append(files, e)
		}
	}
	return New(&show.Show{Title: "Small", Cues: cues}, files, day)
}

func texts() map[string]string {
	return map[string]string{"show.toml": "a", "cues.csv": "b", "music.wav": "c", "code.wav": "d"}
}

var cues = []show.Cue{{ID: "1", EffectAt: 5 * time.Second, Position: "A", Line: 2}, {ID: "2", EffectAt: 9 * time.Second, Position: "A", Line: 3}}

func TestCompare(t *testing.T) {
	was := small(cues, texts())
	moved := []show.Cue{{ID: "2", EffectAt: 9 * time.Second, Position: "A", Line: 2}, {ID: "1", EffectAt: 5 * time.Second, Position: "A", Line: 3}}
	other := []show.Cue{{ID: "1", EffectAt: 5100 * time.Millisecond, Position: "A"}, {ID: "3", EffectAt: time.Second, Position: "B"}}
	with := func(name, text string) map[string]string {
		m := texts()
		m[name] = text
		return m
	}
	without := func(name string) map[string]string {
		m := texts()
		delete(m, name)
		return m
	}
	gone := small(cues, texts())
	gone.Files[3].SHA256, gone.Files[3].Size = "", 0
	retagged := small(cues, with("music.wav", "c2"))
	recoded := small(cues, with("music.wav", "c2"))
	recoded.Files[2].Audio = sum("other sound")
	for _, c := range []struct {
		name string
		now  *Lock
		want string // of each change: ~ if harmless, file, piece of the words
	}{
		{"as locked", small(cues, texts()), ""},
		{"toml", small(cues, with("show.toml", "a2")), "show.toml: it changed since the lock"},
		{"order of the cues", small(moved, with("cues.csv", "b2")), "~cues.csv: the file changed since the lock and its cues did not"},
		{"cues", small(other, with("cues.csv", "b2")), "cues.csv: cues since the lock: 1 changed (1), 1 new (3), 1 gone (2)"},
		{"tags", retagged, "~music.wav: the file changed since the lock and its sound did not: other tags"},
		{"music", recoded, "music.wav: it changed since the lock"},
		{"companion gone", gone, "code.wav: it was rehearsed and is not there now"},
		{"companion no longer named", small(cues, without("code.wav")), "code.wav: it was in the lock and no longer belongs to the show"},
	} {
		var got []string
		for _, ch := range was.Compare(c.now) {
			line := ch.File + ": " + ch.Words
			if ch.Harmless {
				line = "~" + line
			}
			got = append(got, line)
		}
		if all := strings.Join(got, "\n"); c.want == "" && all != "" || !strings.HasPrefix(all, c.want) || len(got) > 1 {
			t.Errorf("%s: changes %q, want %q", c.name, got, c.want)
		}
	}
	if got := small(cues, without("code.wav")).Compare(was); len(got) != 1 || !strings.Contains(got[0].Words, "was not in the lock") {
		t.Errorf("a new companion: %+v", got)
	}
	if got := gone.Compare(was); len(got) != 1 || !strings.Contains(got[0].Words, "was not there when the show was locked") {
		t.Errorf("a companion that came: %+v", got)
	}
}

func TestState(t *testing.T) {
	l := small(cues, texts())
	if got := l.State(nil, nil); got != "as locked 2026-05-01 20:30 UTC" {
		t.Error(got)
	}
	if got := l.State([]Change{{File: "music.wav", Harmless: true}}, nil); got != "as locked 2026-05-01 20:30 UTC" {
		t.Error(got)
	}
	if got := l.State(nil, []string{"code.wav"}); got != "code.wav not read yet, the rest as locked 2026-05-01 20:30 UTC" {
		t.Error(got)
	}
	if got := l.State([]Change{{File: "cues.csv"}}, []string{"code.wav", "calls.wav"}); got != "changed since 2026-05-01 20:30 UTC: cues.csv; 2 files not read yet" {
		t.Error(got)
	}
	l.Seal = Older
	if got := l.State(nil, nil); got != "as locked 2026-05-01 20:30 UTC, by a lock of an older version" {
		t.Error(got)
	}
	l.Seal = Broken
	if got := l.State(nil, nil); got != "its lock was edited and says: as locked 2026-05-01 20:30 UTC" {
		t.Error(got)
	}
	l.Seal = Whole
	if got := l.State([]Change{{File: "cues.csv"}, {File: "a.wav"}}, nil); got != "changed since 2026-05-01 20:30 UTC: cues.csv, a.wav" {
		t.Error(got)
	}
}

// TestEveryFieldCounts changes one thing of a cue at a time.
func TestEveryFieldCounts(t *testing.T) {
	base := show.Cue{ID: "1", EffectAt: 1, Prefire: 1, Burn: 1, Position: "a", Module: "b", Pin: 1, Effect: "c", Caliber: 1, Note: "d"}
	seen := map[string]string{hashCue(base): "nothing"}
	for name, change := range map[string]func(c *show.Cue){
		"effect_at": func(c *show.Cue) { c.EffectAt++ }, "prefire": func(c *show.Cue) { c.Prefire++ }, "burn": func(c *show.Cue) { c.Burn++ },
		"position": func(c *show.Cue) { c.Position = "x" }, "module": func(c *show.Cue) { c.Module = "x" }, "pin": func(c *show.Cue) { c.Pin = 2 },
		"effect": func(c *show.Cue) { c.Effect = "x" }, "caliber": func(c *show.Cue) { c.Caliber = 1.5 }, "note": func(c *show.Cue) { c.Note = "x" },
		"texts joined": func(c *show.Cue) { c.Position, c.Module = "a\" \"b", "" },
	} {
		c := base
		change(&c)
		if before, same := seen[hashCue(c)]; same {
			t.Errorf("a change of %s hashes like a change of %s", name, before)
		}
		seen[hashCue(c)] = name
	}
	line := base
	line.Line = 99
	if hashCue(line) != hashCue(base) {
		t.Error("the line of a cue counts")
	}
}

func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var list []show.Cue
		for i := range rapid.IntRange(0, 20).Draw(t, "cues") {
			list = append(list, show.Cue{ID: fmt.Sprint(i, rapid.StringN(0, 8, -1).Draw(t, "id")), EffectAt: time.Duration(i)})
		}
		l := small(list, texts())
		var b bytes.Buffer
		if err := l.Write(&b); err != nil {
			t.Fatal(err)
		}
		text := b.String()
		got, err := Read(&b)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(got, l) {
			t.Fatalf("read %+v, wrote %+v", got, l)
		}
		var again bytes.Buffer
		if err := got.Write(&again); err != nil || again.String() != text {
			t.Fatalf("written again it differs: %v", err)
		}
	})
}

func TestReadRefuses(t *testing.T) {
	var b bytes.Buffer
	if err := small(cues, texts()).Write(&b); err != nil {
		t.Fatal(err)
	}
	good := b.String()
	for name, text := range map[string]string{
		"empty":         "",
		"text":          "locked\n",
		"nothing in it": "{}",
		"null":          "null",
		"cut":           good[:len(good)/2],
		"joined":        good + good,
		"another form":  strings.Replace(good, "lock 2", "lock 9", 1),
		"a new key":     strings.Replace(good, `"title"`, `"titel"`, 1),
		"a short hash":  strings.Replace(good, sum("a"), "abcd", 1),
		"no hex":        strings.Replace(good, sum("a"), strings.Repeat("z", 64), 1),
		"a path out":    strings.Replace(good, "show.toml", "../show.toml", 1),
		"a file twice":  strings.Replace(good, "show.toml", "cues.csv", 1),
		"a size below":  strings.Replace(good, `"size": 1`, `"size": -1`, 1),
		"a cue's hash":  strings.Replace(good, hashCue(cues[0]), "00", 1),
		"no date":       strings.Replace(good, "2026-05-01T20:30:00Z", "0001-01-01T00:00:00Z", 1),
		"too large":     good[:len(good)-3] + strings.Repeat(" ", maxFile),
	} {
		if text == good {
			t.Fatalf("%s: the text is whole", name)
		}
		if l, err := Read(strings.NewReader(text)); !errors.Is(err, ErrForm) {
			t.Errorf("%s: %+v, %v; want ErrForm", name, l, err)
		}
	}
}

// TestSeal edits a lock as a person would. What still reads is told of.
func TestSeal(t *testing.T) {
	var b bytes.Buffer
	if err := small(cues, texts()).Write(&b); err != nil {
		t.Fatal(err)
	}
	good := b.String()
	// A lock of an older version has no sum, and says so by its schema.
	at := strings.Index(good, ",\n  \"sum\"")
	older := strings.Replace(good[:at]+"\n}\n", "lock 2", "lock 1", 1)
	for _, c := range []struct {
		name, text string
		want       Seal
	}{
		{"as written", good, Whole},
		{"the date", strings.Replace(good, "2026-05-01T20", "2026-05-01T21", 1), Broken},
		{"the zone", strings.Replace(good, "20:30:00Z", "22:30:00+02:00", 1), Broken},
		{"the title", strings.Replace(good, "Small", "Large", 1), Broken},
		{"a size", strings.Replace(good, `"size": 1`, `"size": 2`, 1), Broken},
		{"a hash", strings.Replace(good, sum("a"), sum("z"), 1), Broken},
		{"a role", strings.Replace(good, RoleCompanion, RoleCues, 1), Broken},
		{"a cue", strings.Replace(good, hashCue(cues[0]), hashCue(cues[1]), 1), Broken},
		{"the sum", good[:at+12] + strings.Replace(good[at+12:], "a", "b", 1), Broken},
		{"no sum", good[:at] + "\n}\n", Broken},
		{"older", older, Older},
		{"older with a sum", strings.Replace(good, "lock 2", "lock 1", 1), Broken},
		{"other blanks", strings.ReplaceAll(good, "\n", "\r\n"), Whole},
	} {
		if c.want == Broken && c.text == good {
			t.Fatalf("%s: the text is whole", c.name)
		}
		l, err := Read(strings.NewReader(c.text))
		if err != nil || l.Seal != c.want || (l.Seal.Words() == "") != (c.want == Whole) {
			t.Errorf("%s: %+v, %v; want seal %d", c.name, l, err, c.want)
		}
	}
}

// FuzzRead: whatever reads as a lock is written and read back the same, and
// compared with itself nothing changed. Messages are one clean line.
func FuzzRead(f *testing.F) {
	var b bytes.Buffer
	if err := small(cues, texts()).Write(&b); err != nil {
		f.Fatal(err)
	}
	f.Add(b.String())
	f.Add("{}")
	f.Add(`{"schema":"drylane show lock 1","locked":"2026-01-01T00:00:00Z","files":[{"file":"a","sha256":""}],"cues":{"\u001b[2J":"0123456789abcdef"}}`)
	f.Fuzz(func(t *testing.T, text string) {
		l, err := Read(strings.NewReader(text))
		if err != nil {
			if msg := err.Error(); msg != show.Clean(msg) || len(msg) > 1000 {
				t.Fatalf("message %q", msg)
			}
			return
		}
		var b bytes.Buffer
		if err := l.Write(&b); err != nil {
			t.Fatal(err)
		}
		again, err := Read(&b)
		if err != nil {
			t.Fatalf("read back: %v", err)
		}
		if changes := l.Compare(again); len(changes) > 0 {
			t.Fatalf("against itself: %+v", changes)
		}
		for _, c := range l.Compare(small(cues, texts())) {
			if line := c.File + c.Words; line != show.Clean(line) {
				t.Fatalf("change %q", line)
			}
		}
	})
}
