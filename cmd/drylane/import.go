package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"drylane/playback/cuemarkers"
	"drylane/playback/disk"
	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/exchange"
	"drylane/show/words"
)

type importCmd struct {
	File        string   `arg:"" optional:"" placeholder:"FILE" help:"The cue list: any delimited text, such as CSV."`
	FromMarkers string   `placeholder:"FILE" help:"Take the markers of a WAV or MIDI file instead."`
	To          string   `placeholder:"DIR" help:"The show folder to make; it must not be there yet, or be empty."`
	Soundtrack  string   `placeholder:"FILE" help:"The music; it is copied into the folder."`
	Title       string   `placeholder:"TEXT" help:"The show's title; else the folder's name."`
	Map         []string `sep:"none" placeholder:"OURS=COLUMN" help:"Which column of FILE is ours, by name or number; for note and effect more than once. Nothing behind the = leaves ours empty."`
	Fill        []string `sep:"none" placeholder:"OURS=TEXT" help:"What stands in a column of ours where FILE has nothing."`
	Profile     string   `placeholder:"FILE" help:"Read all of these settings from a file; flags go before it."`
	SaveProfile string   `placeholder:"FILE" help:"Write these settings to a file."`
	replaceFlag
	Guide   bool `help:"Settle the mapping in the terminal: columns are guessed from their names and values, a digit chooses another, and what is settled is kept for the next list."`
	Preview bool `help:"Print the first rows as they would become, and write nothing."`

	Times       string `placeholder:"WHAT" help:"What the times are the times of: effect (default) or ignition."`
	Notation    string `placeholder:"NAME" help:"How they are written: auto (default), seconds, clock (m:ss.t), frames (h:mm:ss:ff) or milliseconds."`
	Rate        string `placeholder:"FPS" help:"Frames a second: 23.976, 24, 25, 29.97, '29.97 drop' or 30."`
	Zero        string `placeholder:"TIME" help:"The time in FILE at which the music starts, such as 1:00:00:00."`
	Decimal     string `placeholder:"CHAR" help:"Decimal character: auto (default), . or ,"`
	PrefireUnit string `placeholder:"NAME" help:"How the prefire is written, as for --notation."`
	BurnUnit    string `placeholder:"NAME" help:"How the burn is written, as for --notation."`
	CaliberUnit string `placeholder:"NAME" help:"mm (default) or inch."`
	Encoding    string `placeholder:"NAME" help:"auto (default), utf-8, utf-16le, utf-16be, latin-1 or windows-1252."`
	Delimiter   string `placeholder:"CHAR" help:"What separates the fields: auto (default), tab or a character."`
	Quotes      string `placeholder:"HOW" help:"auto (default), double (as in CSV) or none (quotes are letters)."`
	Header      string `placeholder:"LINE" help:"The line that names the columns: auto (default), none or its number."`
}

func (importCmd) Help() string {
	return "Makes a show folder from a cue list that another program wrote. No program's layout is known: say once what its columns are, and save that as a profile. Columns with our own names need no word. A column with the time of ignition is ignite_at: the prefire is then how long before its effect a cue ignites. Rows that cannot become a cue are listed with the reason.\n\nExamples:\n\n" +
		"  drylane import list.csv --to shows/harbour --soundtrack music.wav --map cue=1 --map effect_at=\"Break (s)\" --map position=Site\n" +
		"  drylane import list.txt --to shows/harbour --guide\n" +
		"  drylane import list.txt --to shows/pier --profile list-columns.toml\n" +
		"  drylane import --from-markers music.wav --to shows/harbour --fill position=Left"
}

func (c *importCmd) Run(e *env) error {
	if err := c.usage(); err != nil {
		return err
	}
	w := c.writer(e)
	w.Keep("what is imported", c.File, c.FromMarkers)
	w.Keep("the soundtrack itself", c.Soundtrack)
	w.Keep("the profile that is read", c.Profile)
	save, err := w.Take("--save-profile", c.SaveProfile)
	if err != nil {
		return err
	}
	p, err := c.profile()
	if err != nil {
		return err
	}
	src, err := c.open()
	if err != nil {
		return err
	}
	t, res, err := src.convert(p)
	if c.Guide || err != nil && t != nil && c.FromMarkers == "" && e.terminal() {
		if p, save, err = e.guide(src, p, w, save); err == nil {
			t, res, err = src.convert(p)
		}
	}
	if err != nil {
		return err
	}
	if err := save.Write(p.Write); err != nil {
		return err
	}
	if save != nil {
		fmt.Fprintf(e.out, "how the list is read is kept; next time: drylane import %s --to DIR --profile %s\n", show.Clean(c.source()), save.Name())
	}
	printImport(e, t, res, p)
	if c.Preview {
		return printPreview(e.out, res.Cues)
	}
	return c.write(e, res.Cues)
}

// usage refuses flags that do not go together.
func (c *importCmd) usage() error {
	switch {
	case c.File == "" && c.FromMarkers == "":
		return errors.New("found nothing to import; wanted a FILE, or --from-markers FILE")
	case c.File != "" && c.FromMarkers != "":
		return errors.New("found a FILE and --from-markers; wanted one of them")
	case c.Guide && c.FromMarkers != "":
		return errors.New("found --guide and --from-markers; markers need no mapping")
	case c.To == "" && !c.Preview:
		return errors.New("found no --to; wanted the folder to make, or --preview to see what would become of the list")
	case c.Preview:
		return nil
	}
	return folder.Vacant(c.To)
}

// profile is the profile's file with the flags on top.
func (c *importCmd) profile() (exchange.Profile, error) {
	var p exchange.Profile
	if c.Profile != "" {
		f, err := disk.Open(c.Profile)
		if err != nil {
			return p, fmt.Errorf("%s: the profile cannot be read: %w", c.Profile, disk.Plain(err))
		}
		defer f.Close()
		if p, err = exchange.ReadProfile(c.Profile, f); err != nil {
			return p, err
		}
	}
	for key, value := range map[string]string{
		"times": c.Times, "notation": c.Notation, "rate": c.Rate, "zero": c.Zero, "decimal": c.Decimal,
		"prefire_unit": c.PrefireUnit, "burn_unit": c.BurnUnit, "caliber_unit": c.CaliberUnit,
		"encoding": c.Encoding, "delimiter": c.Delimiter, "quotes": c.Quotes, "header": c.Header,
	} {
		if value != "" {
			*p.Setting(key) = value
		}
	}
	// A flag for a column takes the place of all that the file says of it.
	var flags exchange.Profile
	for _, m := range c.Map {
		if err := flags.SetMap(m); err != nil {
			return p, err
		}
	}
	for _, f := range c.Fill {
		if err := flags.SetFill(f); err != nil {
			return p, err
		}
	}
	p.Overlay(flags)
	return p, nil
}

// A source is what is imported, in memory: a guide reads it over and over.
type source struct {
	name    string
	data    []byte
	markers *exchange.Table // nil for a text
}

// maxSource bounds the text of a cue list, in bytes.
const maxSource = 64<<20 + 1

func (c *importCmd) open() (*source, error) {
	if c.FromMarkers != "" {
		t, err := readMarkers(c.FromMarkers)
		return &source{name: c.FromMarkers, markers: t}, err
	}
	f, err := disk.Open(c.File)
	if err != nil {
		return nil, fmt.Errorf("%s: the cue list cannot be read: %w", c.File, disk.Plain(err))
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxSource))
	if err != nil {
		return nil, fmt.Errorf("%s: the cue list cannot be read: %w", c.File, disk.Plain(err))
	}
	return &source{name: show.Clean(filepath.Base(c.File)), data: data}, nil
}

func readMarkers(path string) (*exchange.Table, error) {
	f, err := disk.Open(path)
	if err != nil {
		return nil, fmt.Errorf("%s: the markers cannot be read: %w", path, disk.Plain(err))
	}
	defer f.Close()
	return cuemarkers.Read(show.Clean(filepath.Base(path)), f)
}

// source is the path of what is imported.
func (c *importCmd) source() string { return cmp.Or(c.File, c.FromMarkers) }

// table reads the source as the profile says.
func (s *source) table(p exchange.Profile) (*exchange.Table, error) {
	if s.markers != nil {
		return s.markers, nil
	}
	return exchange.ReadTable(s.name, bytes.NewReader(s.data), p)
}

// convert makes cues of the source. The table is nil if it could not be read.
func (s *source) convert(p exchange.Profile) (*exchange.Table, *exchange.Result, error) {
	t, err := s.table(p)
	if err != nil {
		return nil, nil, err
	}
	res, err := exchange.Convert(t, p)
	return t, res, err
}

// write makes the show folder and tells of it.
func (c *importCmd) write(e *env, cues []show.Cue) error {
	if len(cues) == 0 {
		return errors.New("found no row that can become a cue; nothing was written")
	}
	made := folder.Imported{Title: c.Title, Soundtrack: c.Soundtrack, Cues: cues}
	warnings, wrong, err := made.Write(e.ctx, c.To)
	if err != nil {
		return err
	}
	for _, w := range warnings {
		fmt.Fprintln(e.errOut, w)
	}
	fmt.Fprintf(e.out, "%s: written, %s\n", show.Clean(c.To), words.Count(len(cues), "cue"))
	switch {
	case wrong != nil:
		return fmt.Errorf("%w\n%s: the show cannot be rehearsed until this is mended, in its files or in what was imported", wrong, c.To)
	case c.Soundtrack == "":
		fmt.Fprintf(e.out, "Put the music there as %s, or name it in show.toml.\n", folder.NoSoundtrack)
	}
	return nil
}
