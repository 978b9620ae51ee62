package exchange

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestReadProfile(t *testing.T) {
	p, err := ReadProfile("p.toml", strings.NewReader(`
delimiter = ";"
header = 3
rate = 25
notation = "frames"
[map]
cue = "No."
effect_at = 4
note = ["Remarks", 7]
burn = []
[fill]
position = "Main"
`))
	if err != nil {
		t.Fatal(err)
	}
	want := Profile{
		Format: Format{Delimiter: ";", Header: "3"}, Rate: "25", Notation: Frames,
		Map:  map[Column][]Ref{Cue: {{Name: "No."}}, EffectAt: {{Number: 4}}, Note: {{Name: "Remarks"}, {Number: 7}}, Burn: {}},
		Fill: map[Column]string{Position: "Main"},
	}
	if !reflect.DeepEqual(p, want) {
		t.Errorf("%+v\nwant %+v", p, want)
	}
}

// TestRateNames: names of rates in profiles that people have are read, and
// written as timecode has them.
func TestRateNames(t *testing.T) {
	for old, want := range map[string]string{"29.97df": "29.97 drop", "29.97ndf": "29.97", "29.97 drop": "29.97 drop", "23.976": "23.976"} {
		p, err := ReadProfile("p.toml", strings.NewReader("notation = \"frames\"\nrate = \""+old+"\"\n"))
		if err != nil {
			t.Errorf("%s: %v", old, err)
			continue
		}
		var b bytes.Buffer
		if err := p.Write(&b); err != nil || !strings.Contains(b.String(), "rate = '"+want+"'\n") {
			t.Errorf("%s: %v, written as\n%s", old, err, b.String())
		}
	}
}

func TestReadProfileErrors(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"unknown key", "times = \"effect\"\ndelimeter = 1\n", `p.toml:2:1: found the unknown key "delimeter"; wanted one of map, fill, encoding`},
		{"nearest key", "delimeter = 1\n", `did you mean "delimiter"?`},
		{"value", "\ntimes = \"noon\"\n", `p.toml:2:1: found "noon" as times; wanted one of effect, ignition`},
		{"no TOML", "map = [\n", "p.toml:"},
		{"type", "times = 3\n", "p.toml:1:1: found the number 3 as times; wanted text in quotes"},
		{"column of ours", "[map]\ncolour = 1\n", `p.toml:2:1: found the unknown key "colour" under [map]; wanted one of cue, effect_at`},
		{"fill of ours", "[fill]\n  positon = \"x\"\n", `p.toml:2:3: found the unknown key "positon" under [fill]`},
		{"nearest column", "[fill]\n  positon = \"x\"\n", `did you mean "position"?`},
		{"column number", "[map]\ncue = 0\n", "p.toml:2:1: found"},
		{"column type", "[map]\ncue = 1.5\n", "p.toml:2:1: found something other than a column as cue"},
		{"nested list", "[map]\nnote = [[1]]\n", "p.toml:2:1: found something other than a column as note"},
		{"too large", strings.Repeat("#\n", maxProfile), "p.toml:32769: found a file that is too large"},
	} {
		_, err := ReadProfile("p.toml", strings.NewReader(c.text))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v; want %q", c.name, err, c.want)
		}
	}
}

// profiles draws profiles that check finds nothing wrong with.
func profiles(t *rapid.T) Profile {
	var p Profile
	for _, s := range p.settings() {
		switch {
		case s.key == "header":
			*s.value = rapid.SampledFrom([]string{"", "none", "3"}).Draw(t, s.key)
		case s.key == "rate":
			*s.value = rapid.SampledFrom(s.allowed).Draw(t, s.key)
		case s.allowed != nil:
			*s.value = rapid.SampledFrom(append([]string{""}, s.allowed...)).Draw(t, s.key)
		default:
			*s.value = rapid.SampledFrom([]string{"", ";", "tab"}).Draw(t, s.key)
		}
	}
	name := rapid.StringMatching(`[a-zü"'\\ .#=0-9]{0,8}[a-z]`)
	for c := range ColumnCount {
		n := rapid.IntRange(-1, 1).Draw(t, "refs")
		if c == Note {
			n = 2
		}
		for range n {
			ref := Ref{Name: name.Draw(t, "name")}
			if rapid.Bool().Draw(t, "number") {
				ref = Ref{Number: rapid.IntRange(1, 40).Draw(t, "n")}
			}
			if p.Map == nil {
				p.Map = map[Column][]Ref{}
			}
			p.Map[c] = append(p.Map[c], ref)
		}
		if n == 0 {
			if p.Map == nil {
				p.Map = map[Column][]Ref{}
			}
			p.Map[c] = []Ref{}
		}
	}
	p.Fill = map[Column]string{Position: clean(name.Draw(t, "fill"))}
	return p
}

func TestProfileRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := profiles(t)
		var b bytes.Buffer
		if err := p.Write(&b); err != nil {
			t.Fatal(err)
		}
		got, err := ReadProfile("p", bytes.NewReader(b.Bytes()))
		if err != nil {
			t.Fatalf("%v\n%s", err, b.String())
		}
		if !reflect.DeepEqual(got, p) {
			t.Fatalf("%+v\nwant %+v\n%s", got, p, b.String())
		}
	})
}

func TestFlags(t *testing.T) {
	var p Profile
	for _, s := range []string{`effect_at=Break (s)`, `cue=3`, `pin="3"`, "note=a=b", "note=c"} {
		if err := p.SetMap(s); err != nil {
			t.Fatal(err)
		}
	}
	want := map[Column][]Ref{EffectAt: {{Name: "Break (s)"}}, Cue: {{Number: 3}}, Pin: {{Name: "3"}}, Note: {{Name: "a=b"}, {Name: "c"}}}
	if !reflect.DeepEqual(p.Map, want) {
		t.Errorf("%+v; want %+v", p.Map, want)
	}
	for _, s := range []string{"cue", "colour=1", "=1"} {
		if p.SetMap(s) == nil || p.SetFill(s) == nil {
			t.Errorf("%q was taken", s)
		}
	}
	q := Profile{Map: map[Column][]Ref{Note: {{Number: 9}}}}
	p.Overlay(q)
	if len(p.Map[Note]) != 1 || p.Map[Note][0].Number != 9 || p.Map[Cue][0].Number != 3 {
		t.Errorf("overlaid: %+v", p.Map)
	}
}
