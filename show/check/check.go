package check

import (
	"fmt"

	"drylane/show"
)

// A rule looks at one side of the facts.
type rule func(f *Facts, c *collector)

// rules are all rules, in the order in which their findings are told.
var rules = [...]rule{
	folderRule,
	musicRule,
	levelRule,
	companionRule,
	witnessRule,
	deviceRule,
	radioRule,
	batteryRule,
	positionRule,
	prefireRule,
	burnRule,
	separationRule,
	gapRule,
	lockRule,
}

// Run holds the facts against every rule. The gravest findings come first.
func Run(f *Facts) Findings {
	c := &collector{counts: map[string]int{}}
	for _, r := range rules {
		r(f, c)
	}
	return c.findings()
}

// maxFindings is how many findings of one code and severity are listed: nobody
// reads more, and one slip in a spreadsheet's column must not bury the rest.
const maxFindings = 20

// A collector gathers findings.
type collector struct {
	found  Findings
	counts map[string]int
	order  []Finding // the first finding of each code that has more
}

// add notes a finding; its texts are cleaned here.
func (c *collector) add(f Finding) {
	f.Place, f.Found, f.Do = show.Shorten(f.Place, maxText), show.Shorten(f.Found, maxText), show.Shorten(f.Do, maxText)
	key := f.Severity.String() + f.Code
	c.counts[key]++
	switch n := c.counts[key]; {
	case n <= maxFindings:
		c.found = append(c.found, f)
	case n == maxFindings+1:
		c.order = append(c.order, f)
	}
}

func (c *collector) stop(code, place, found, do string) {
	c.add(Finding{show.SeverityStop, code, place, found, do})
}

func (c *collector) warn(code, place, found, do string) {
	c.add(Finding{show.SeverityWarn, code, place, found, do})
}

func (c *collector) note(code, place, found, do string) {
	c.add(Finding{show.SeverityNote, code, place, found, do})
}

// findings returns what was found, with a line for each code that has more.
func (c *collector) findings() Findings {
	for _, f := range c.order {
		more := c.counts[f.Severity.String()+f.Code] - maxFindings
		c.found = append(c.found, Finding{
			Severity: f.Severity, Code: CodeMore,
			Found: fmt.Sprintf("%d more findings %q are not listed", more, f.Code),
			Do:    "put the listed ones right, then check again",
		})
	}
	return c.found.sorted()
}

// folderRule passes on what the reader of the folder found, and holds the show
// against the length of its music.
func folderRule(f *Facts, c *collector) {
	problems := f.Problems
	if f.Music.opened() {
		problems = append(problems[:len(problems):len(problems)], show.CheckLength(f.Show, f.Music.Length)...)
	}
	for _, p := range problems {
		c.add(Finding{p.Severity, p.Code, placeOf(p), "found " + p.Found, wanted(p)})
	}
}

// placeOf writes where a problem stands.
func placeOf(p show.Problem) string {
	switch {
	case p.Line > 0 && p.Column > 0:
		return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column)
	case p.Line > 0:
		return fmt.Sprintf("%s:%d", p.File, p.Line)
	}
	return p.File
}

func wanted(p show.Problem) string {
	if p.Wanted == "" {
		return ""
	}
	return "wanted " + p.Wanted
}
