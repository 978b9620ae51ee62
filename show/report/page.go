package report

import (
	"cmp"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"slices"
	"time"

	"drylane/show"
	"drylane/show/page"
	"drylane/show/timebase"
	"drylane/show/words"
)

// A Page is a debrief of one or more sessions.
type Page struct {
	Sheets []*Sheet
	Made   time.Time
}

//go:embed page.html
var pageHTML string

var pageTemplate = page.New(pageHTML, template.FuncMap{
	"late":    words.Late,
	"nudge":   words.Nudge,
	"between": betweenWords,
	"secs":    seconds,
})

// WriteHTML writes the page: one file that needs no other, has no scripts,
// prints, and reads on a telephone.
func (p Page) WriteHTML(w io.Writer) error {
	sheets := slices.Clone(p.Sheets)
	slices.SortStableFunc(sheets, func(a, b *Sheet) int { return a.Run.Header.Began.Compare(b.Run.Header.Began) })
	data := struct {
		Title  string
		Made   time.Time
		Sheets []sheetView
		Trends []trend
	}{Title: title(sheets), Made: p.Made, Trends: trends(sheets)}
	for i, s := range sheets {
		data.Sheets = append(data.Sheets, sheetView{Sheet: s, ID: fmt.Sprintf("s%d", i+1)})
	}
	return pageTemplate.Execute(w, data)
}

// title names the show, or says how many there are.
func title(sheets []*Sheet) string {
	var names []string
	for _, s := range sheets {
		if name := show.Clean(s.Run.Header.Title); !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	switch len(names) {
	case 0:
		return "nothing"
	case 1:
		return names[0]
	}
	return fmt.Sprintf("%d shows", len(names))
}

// A sheetView is a sheet as the page looks at it.
type sheetView struct {
	*Sheet
	ID string
}

// A figure is one of the big numbers at the top of a sheet.
type figure struct{ Name, Value, Note string }

// Facts are the figures of the run.
func (v sheetView) Facts() []figure {
	r := v.Run
	counted := v.List.Show.N
	facts := []figure{
		{"cues fired", fmt.Sprint(r.Count(Fired)), fmt.Sprintf("of %d", len(r.Cues))},
		{"skipped", fmt.Sprint(r.Count(Skipped)), "stood down"},
		{"left", fmt.Sprint(r.Count(Left)), "never came due"},
		{"holds", fmt.Sprint(len(r.Holds)), "in all " + seconds(r.Held())},
		{"nudges", fmt.Sprint(len(r.Nudges)), "at the end: " + words.Nudge(r.finalNudge())},
		{"taps", fmt.Sprint(len(r.Taps)), fmt.Sprintf("%d counted", counted)},
	}
	if n := r.Count(Before); n > 0 {
		facts = append(facts, figure{"fired before", fmt.Sprint(n), "the re-entry"})
	}
	if n := r.leftOut(); n > 0 {
		facts = append(facts, figure{"left out", fmt.Sprint(n), "still loaded: treat as live"})
	}
	if r.Underruns > 0 {
		facts = append(facts, figure{"sound ran dry", fmt.Sprint(r.Underruns), "times"})
	}
	if f := r.Header.Follow; f != nil {
		facts = append(facts, figure{"music", "followed", show.Clean(f.Words())})
	}
	return facts
}

func (r *Run) finalNudge() time.Duration {
	if n := len(r.Nudges); n > 0 {
		return r.Nudges[n-1].To
	}
	return 0
}

// Moment writes a moment of the music.
func (v sheetView) Moment(f timebase.Frame) string { return timebase.ClockMillis(v.Run.At(f)) }

// Apart says whether a lane is the one that stands apart from the others.
func (v sheetView) Apart(lane string) bool {
	return lane != "" && v.List.Verdict.Lane == lane
}

// maxRows bounds a table of single cues: beyond it the page only counts them.
const maxRows = 200

// Odd are the cues that did not go as the list and the nudge have them.
func (v sheetView) Odd() []oddCue {
	var out []oddCue
	for _, c := range v.Run.Cues {
		if what := v.odd(c); what != "" && len(out) < maxRows {
			out = append(out, oddCue{c, what})
		}
	}
	return out
}

// MoreOdd is how many of them the table leaves out.
func (v sheetView) MoreOdd() int {
	n := 0
	for _, c := range v.Run.Cues {
		if v.odd(c) != "" {
			n++
		}
	}
	return max(0, n-maxRows)
}

// An oddCue is a cue with what was odd about it.
type oddCue struct {
	CueRun
	What string
}

func (v sheetView) odd(c CueRun) string {
	switch late := v.Run.At(c.Late); {
	case c.Ending == Skipped:
		return "skipped, stood down"
	case c.LeftOut:
		return "left out by the re-entry: still loaded, treat as live"
	case c.Ending == Left && c.Down:
		return "left, stood down"
	case late > 0:
		return fmt.Sprintf("%d ms late: a nudge made it overdue", late.Milliseconds())
	case c.Moved:
		return "in the air during a hold"
	}
	return ""
}

// EndWords says how the hold ended, where that wants saying.
func (h Hold) EndWords() string {
	switch {
	case h.Open:
		return ", not resumed"
	case h.Left.Any():
		return ", " + h.LeftWords()
	}
	return ""
}

// ReactionWords says how long the hold took to come.
func (h Hold) ReactionWords() string {
	if h.Prompt == "" {
		return "—"
	}
	return seconds(h.Reaction)
}

// trends are the sheets of each person with more than one.
func trends(sheets []*Sheet) []trend {
	by := map[string][]*Sheet{}
	for _, s := range sheets {
		by[s.Person.Name] = append(by[s.Person.Name], s)
	}
	var out []trend
	for name, list := range by {
		if len(list) > 1 {
			out = append(out, trend{Person: name, Sheets: list, Chart: trendChart(list)})
		}
	}
	slices.SortFunc(out, func(a, b trend) int { return cmp.Compare(a.Person, b.Person) })
	return out
}

// A trend is a person's sheets, the oldest first.
type trend struct {
	Person string
	Sheets []*Sheet
	Chart  trendView
}

// MeanReaction is over the holds of a run that answered something.
func (r *Run) MeanReaction() string {
	var sum time.Duration
	n := 0
	for _, h := range r.Holds {
		if h.Prompt != "" {
			sum += h.Reaction
			n++
		}
	}
	if n == 0 {
		return "—"
	}
	return seconds(sum / time.Duration(n))
}
