package field

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"time"

	"drylane/show/words"
)

// Basis says what all the figures rest on.
func (f *Field) Basis() string {
	return fmt.Sprintf("sound travels %.1f m/s in air of %.3g °C (ISO 9613-1); light arrives at once; grades by ITU-R BT.1359, found with speech on a screen", f.Speed, f.Celsius)
}

// Care is what stands under every figure on distances.
const Care = "Separation is " + Decides + "."

// WriteText writes the field for a terminal of at most width columns.
func (f *Field) WriteText(w io.Writer, width int) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: what distance does\n%s\n\n", f.Title, f.Basis())
	b.WriteString(f.Picture(min(width, 72), 20))
	b.WriteString("\n" + f.legend() + "\n")
	for _, n := range f.Notes() {
		b.WriteString("note: " + n + "\n")
	}
	for _, a := range f.Audiences {
		b.WriteByte('\n')
		f.writeAudience(&b, a)
	}
	b.WriteString("\nshift of the cues, for the " + MainAudience + "\n")
	for _, s := range f.ShiftWords() {
		b.WriteString("  " + s + "\n")
	}
	if len(f.Separations) > 0 {
		b.WriteString("\nseparation\n")
		for _, s := range f.Separations {
			b.WriteString("  " + s.String() + "\n")
		}
		b.WriteString("  " + Care + "\n")
	}
	if len(f.Gaps) > 0 {
		b.WriteString("\nnot assessed\n")
		for _, g := range f.Gaps {
			b.WriteString("  " + g.String() + "\n")
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (f *Field) legend() string {
	var parts []string
	for i, p := range f.Positions {
		parts = append(parts, Label(i)+" "+p.Name)
	}
	return strings.Join(append(parts, "o audience", "s loudspeaker", "& several"), "  ")
}

// Notes say what was left out and what was taken for granted.
func (f *Field) Notes() []string {
	var notes []string
	if len(f.Unplaced) > 0 {
		notes = append(notes, "no distance_m in show.toml, so left out: "+strings.Join(f.Unplaced, ", "))
	}
	if len(f.Speakers) == 0 {
		notes = append(notes, "no [[speaker]] in show.toml: the music is taken to be heard where it is made, at once")
	}
	if len(f.Audiences) == 1 {
		notes = append(notes, "the main audience is the only place listened at; show.toml may list others: [[audience]] with name, distance_m and bearing")
	}
	return notes
}

// writeAudience writes what reaches one place.
func (f *Field) writeAudience(b *strings.Builder, a Audience) {
	fmt.Fprintf(b, "at the %s\n  %s\n", a.Name, f.MusicWords(a))
	if len(a.Paths) == 0 {
		return
	}
	w := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "  position\taway\tbang\tfrom the break\tagainst the music")
	for i, p := range a.Paths {
		fmt.Fprintf(w, "  %s %s\t%.0f m\t%s\t%s\t%s\n", Label(i), p.Position, p.Metres, msWords(p.Bang), msWords(p.High), p.AgainstMusic())
	}
	w.Flush()
}

// MusicWords say when the music comes to an audience, and what is seen of it.
func (f *Field) MusicWords(a Audience) string {
	from := "the music"
	if a.Speaker != "" {
		from = "the music of " + a.Speaker
	}
	return fmt.Sprintf("%s comes %s the light (%s); with the cues shifted as below %s the light (%s)",
		from, after(a.Music), Graded(a.Music), after(a.Left), Graded(a.Left))
}

// ShiftWords say which shift serves the main audience, by eye and by ear.
func (f *Field) ShiftWords() []string {
	s := f.Shift
	lines := []string{fmt.Sprintf("by eye: cues %s bring the light to the music, the same for all positions", shiftWords(-s.Seen))}
	if s.Nudge == 0 {
		lines = append(lines, fmt.Sprintf("as a nudge: none; the music comes %s the light (%s)", after(s.Over), Graded(s.Over)))
	} else {
		lines = append(lines, fmt.Sprintf("as a nudge: %s; the music then comes %s the light (%s)", words.Nudge(s.Nudge), after(s.Over), Graded(s.Over)))
	}
	switch {
	case len(f.Positions) == 0:
	case s.Ear.High+s.Ear.Ground == 0:
		lines = append(lines, "by ear: nothing to go by, "+s.Ear.Words())
	default:
		lines = append(lines, fmt.Sprintf("by ear: cues %s would put their bangs on the music, each within %s; their light would then come %s before the music; %s",
			shiftWords(s.Heard), msWords(s.Spread), msWords(s.Heard+s.Seen), s.Ear.Words()))
	}
	return lines
}

// shiftWords writes a shift, positive for earlier, as what the cues do.
func shiftWords(earlier time.Duration) string {
	if earlier == 0 {
		return "where they are"
	}
	return fmt.Sprintf("%s by %.3f s", words.Way(earlier), earlier.Abs().Seconds())
}

// msWords writes a time in milliseconds.
func msWords(d time.Duration) string {
	return fmt.Sprintf("%d ms", d.Round(time.Millisecond).Milliseconds())
}

// after writes how the music stands to the light.
func after(d time.Duration) string { return words.OffMS(d, "after", "before", "with") }
