package cuelist

import (
	"encoding/csv"
	"io"
	"strconv"
	"text/template"

	"drylane/playback/internal/demo/score"
	"drylane/show/timebase"
)

// Write writes the cue list as cues.csv.
func Write(w io.Writer, cues []Line) error {
	out := csv.NewWriter(w)
	out.Write([]string{"cue", "effect_at", "prefire", "position", "module", "pin", "effect", "caliber_mm", "burn", "note"})
	for _, c := range cues {
		out.Write([]string{
			c.ID, timebase.Seconds(c.EffectAt), timebase.Seconds(c.Item.Prefire), c.Position, c.Module, number(c.Pin),
			c.Item.Effect, number(c.Item.Caliber), timebase.Seconds(c.Item.Burn), c.note(),
		})
	}
	out.Flush()
	return out.Error()
}

func (c Line) note() string {
	switch {
	case c.EffectAt == score.WitnessAt:
		return "witness"
	case c.Module == "":
		return "by hand"
	}
	return ""
}

// WriteAccents writes where the music's accents truly are.
func WriteAccents(w io.Writer, accents []score.Accent) error {
	out := csv.NewWriter(w)
	out.Write([]string{"at", "frame", "section", "bar", "step", "level"})
	for _, a := range accents {
		out.Write([]string{
			timebase.Seconds(a.At.At(score.Rate)), strconv.FormatInt(int64(a.At), 10), a.Section,
			strconv.Itoa(a.Bar), strconv.Itoa(a.Step), a.Level.String(),
		})
	}
	out.Flush()
	return out.Error()
}

// WriteShow writes show.toml for a soundtrack with the given hash in hex.
func WriteShow(w io.Writer, soundtrackSHA256 string) error {
	modules := 0
	for _, p := range Positions {
		modules += len(p.Modules)
	}
	return showFile.Execute(w, map[string]any{
		"Title": Title, "SHA256": soundtrackSHA256, "Witness": timebase.Seconds(score.WitnessAt),
		"Positions": Positions, "Pins": Pins, "MinGap": MinGap, "Devices": modules + 2,
	})
}

var showFile = template.Must(template.New("show.toml").Parse(`# The demo show. Everything in it is invented.
title = "{{.Title}}"
cues = "cues.csv"
# Ten modules and two players.
field_devices = {{.Devices}}

[soundtrack]
file = "soundtrack.mp3"
sha256 = "{{.SHA256}}"

[console]
guard = "150ms"
nudge_limit = "10s"
lanes = "position"
checklist = [
  "nobody in the field, nobody goes in",
  "spotter sees nothing up or burning",
  "cause gone; any repair needs a cut",
  "every position answers ready",
]

[witness]
at = "{{.Witness}}"
cue = "1"
{{range .Positions}}
[[position]]
name = "{{.Name}}"
distance_m = {{.Distance}}
bearing = {{.Bearing}}
{{- if .HandFired}}
hand_fired = true
{{- end}}
{{end}}
{{- range .Positions}}{{range .Modules}}
[[module]]
name = "{{.}}"
pins = {{$.Pins}}
min_gap = "{{$.MinGap}}"
{{end}}{{end}}
[[speaker]]
name = "left stack"
distance_m = 40
bearing = -30
delay = "0ms"

[[speaker]]
name = "right stack"
distance_m = 40
bearing = 30
delay = "0ms"

[air]
temperature_c = 14

[[player]]
name = "sound desk"
file = "soundtrack.mp3"

[[player]]
name = "spare at the sound desk"
file = "soundtrack.mp3"
`))

// number leaves 0 out: in a cue list it means that there is none.
func number(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// LameOptions are the options that make the demo's MP3 from its WAV.
func LameOptions() []string {
	return []string{"--silent", "--cbr", "-b", "128", "-m", "j", "-q", "2", "--noreplaygain"}
}
