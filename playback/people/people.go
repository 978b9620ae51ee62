// Package people keeps what a calibration found of how a person taps, in a file by
// name in the user's data folder.
package people

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"drylane/playback/disk"
	"drylane/show"
	"drylane/show/drift"

	"github.com/adrg/xdg"
	"github.com/pelletier/go-toml/v2"
)

// A Person is what is kept of a calibration, in a file by name in the user's
// data folder.
type Person struct {
	Name      string    `toml:"name"`
	BiasMS    float64   `toml:"bias_ms"`    // tap less tick: negative for early
	ScatterMS float64   `toml:"scatter_ms"` // of one tap
	Taps      int       `toml:"taps"`       // that counted
	Output    string    `toml:"output"`     // what the ticks were heard on
	Measured  time.Time `toml:"measured"`
}

// Limits of a person's file. A bias beyond maxBias is no tap along with a tick.
const (
	maxPersonBytes = 64 << 10
	maxName        = 60
	maxBiasMS      = 1000
	maxTaps        = 10_000
)

// Bias is what is taken off every tap.
func (p Person) Bias() time.Duration {
	return time.Duration(p.BiasMS * float64(time.Millisecond)).Round(time.Microsecond)
}

// Scatter is that of one tap.
func (p Person) Scatter() time.Duration {
	return time.Duration(p.ScatterMS * float64(time.Millisecond)).Round(time.Microsecond)
}

// check says what cannot stand in a person's file.
func (p Person) check() error {
	switch {
	case CheckName(p.Name) != nil:
		return CheckName(p.Name)
	case !(p.BiasMS >= -maxBiasMS && p.BiasMS <= maxBiasMS): // also NaN
		return fmt.Errorf("found a bias of %g ms; wanted at most %d either way", p.BiasMS, maxBiasMS)
	case !(p.ScatterMS >= 0 && p.ScatterMS <= maxBiasMS):
		return fmt.Errorf("found a scatter of %g ms; wanted 0 to %d", p.ScatterMS, maxBiasMS)
	case p.Taps < drift.MinTicks:
		return fmt.Errorf("found a calibration from %d taps; wanted at least %d", p.Taps, drift.MinTicks)
	}
	return nil
}

// CheckName refuses a name that no person can be kept under.
func CheckName(name string) error {
	switch {
	case strings.TrimSpace(name) == "":
		return errors.New("found no name; wanted the name of a person")
	case utf8.RuneCountInString(name) > maxName:
		return fmt.Errorf("found a name of %d characters; wanted at most %d", utf8.RuneCountInString(name), maxName)
	case show.Clean(name) != name || strings.TrimSpace(name) != name:
		return fmt.Errorf("found the name %q; wanted one without blanks at its ends and without characters that cannot be seen", name)
	}
	return nil
}

func dir() string { return filepath.Join(xdg.DataHome, "drylane", "people") }

// fileOf is where a person is kept. Names that differ in case alone are
// one, as they are on many disks; every byte that is not a plain letter or
// digit is written as its number, so that no two other names are.
func fileOf(name string) string {
	var b strings.Builder
	for _, c := range []byte(strings.ToLower(name)) {
		switch {
		case 'a' <= c && c <= 'z', '0' <= c && c <= '9', c == '-':
			b.WriteByte(c)
		default:
			fmt.Fprintf(&b, "_%02x", c)
		}
	}
	return filepath.Join(dir(), b.String()+".toml")
}

// readPerson reads a person's file; name is the file's in messages.
func readPerson(name string, r io.Reader) (Person, error) {
	t, err := show.ReadTOML(name, r, maxPersonBytes)
	if err != nil {
		return Person{}, err
	}
	p := Person{
		Name:      t.Verbatim("name"),
		BiasMS:    t.Number("bias_ms", -maxBiasMS, maxBiasMS, 0),
		ScatterMS: t.Number("scatter_ms", 0, maxBiasMS, 0),
		Taps:      t.Whole("taps", drift.MinTicks, maxTaps),
		Output:    show.Clean(t.Verbatim("output")),
	}
	measured := t.Value("measured")
	if at, ok := measured.(time.Time); ok {
		p.Measured = at
	} else if measured != nil {
		t.Note(show.CodeType, "measured", "something other than a moment", "a date and a time of day, such as 2026-07-04T21:00:00Z")
	}
	t.Done()
	if ps := t.Problems(); len(ps) > 0 {
		return Person{}, ps
	}
	if err := p.check(); err != nil {
		return Person{}, fmt.Errorf("%s: %w", name, err)
	}
	return p, nil
}

// write writes p as readPerson reads it.
func (p Person) write(w io.Writer) error {
	if err := p.check(); err != nil {
		return err
	}
	return toml.NewEncoder(w).Encode(p)
}

// Save keeps p, in place of an older calibration of the same name.
func (p Person) Save() (path string, err error) {
	path = fileOf(p.Name)
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return path, fmt.Errorf("the folder for calibrations cannot be made: %w", err)
	}
	return path, disk.WriteWhole(path, p.write)
}

// Find returns a person's calibration. When there is none the error is
// an fs.ErrNotExist that names those there are.
func Find(name string) (Person, error) {
	if err := CheckName(name); err != nil {
		return Person{}, err
	}
	path := fileOf(name)
	f, err := disk.Open(path)
	if errors.Is(err, os.ErrNotExist) {
		return Person{}, &NotCalibrated{name}
	}
	if err != nil {
		return Person{}, fmt.Errorf("%s: the calibration cannot be read: %w", path, disk.Plain(err))
	}
	defer f.Close()
	return readPerson(path, f)
}

// A NotCalibrated is the error of a person that nothing is known of.
type NotCalibrated struct{ Name string }

func (e *NotCalibrated) Error() string {
	text := fmt.Sprintf("no calibration of %q is kept", e.Name)
	if names := Names(); len(names) > 0 {
		return text + "; there are those of " + strings.Join(names, ", ")
	}
	return text + fmt.Sprintf("; make one with: drylane calibrate --name %q", e.Name)
}

// Names are the names of all that are kept; files that do not read are none.
func Names() []string {
	var names []string
	for _, path := range disk.Files(filepath.Join(dir(), "*.toml")) {
		f, err := disk.Open(path)
		if err != nil {
			continue
		}
		if p, err := readPerson(path, f); err == nil {
			names = append(names, p.Name)
		}
		f.Close()
	}
	slices.Sort(names)
	return names
}

// Habit is what the analysis of the drift takes off a person's taps.
func (p Person) Habit() drift.Config { return drift.Config{Bias: p.Bias()} }
