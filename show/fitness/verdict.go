package fitness

// A Grade says what a finding means for a rehearsal.
type Grade int

// The grades, from good to bad; Untried says nothing.
const (
	Untried Grade = iota
	Good
	Limit // a rehearsal works, within what the finding says
	Unfit // a rehearsal does not work as it should
)

// MarshalText implements encoding.TextMarshaler.
func (g Grade) MarshalText() ([]byte, error) { return []byte(gradeWords[g]), nil }

var gradeWords = [...]string{"not tried", "good", "limit", "not fit"}

// A Finding is one sentence about a part, and what to change.
type Finding struct {
	Part  Part   `json:"part"`
	Grade Grade  `json:"grade"`
	Text  string `json:"text"`
	Do    string `json:"do,omitempty"`
}

// A Verdict is all there is to say of a computer.
type Verdict struct {
	Words    string    `json:"verdict"`
	Grade    Grade     `json:"grade"` // the worst; Untried: nothing was tried
	Findings []Finding `json:"findings"`
}

// Judge says what the figures mean.
func Judge(f *Figures) Verdict {
	var v Verdict
	for _, part := range Parts {
		v.Findings = append(v.Findings, f.findings(part)...)
	}
	untried := false
	for _, x := range v.Findings {
		v.Grade = max(v.Grade, x.Grade)
		untried = untried || x.Grade == Untried
	}
	v.Words = [...]string{Untried: "CANNOT TELL", Good: "FIT", Limit: "FIT WITH LIMITS", Unfit: "NOT FIT"}[v.Grade]
	if untried && v.Grade != Untried && v.Grade != Unfit {
		v.Words += ", as far as it was tried"
	}
	return v
}

// findings are those of one part.
func (f *Figures) findings(part Part) []Finding {
	var out []Finding
	switch {
	case f.Untried[part] != "":
		return []Finding{{Part: part, Text: f.Untried[part]}}
	case part == PartSound && f.Sound != nil:
		out = f.Sound.findings()
	case part == PartLoop && f.Loop != nil:
		out = f.Loop.findings(f.Sound != nil && f.Sound.Underruns > 0)
	case part == PartTimer && f.Timer != nil:
		out = f.Timer.findings()
	case part == PartDisk && f.Disk != nil:
		out = f.Disk.findings()
	case part == PartClock && f.Clock != nil:
		out = f.Clock.findings()
	case part == PartTerminal && f.Terminal != nil:
		out = f.Terminal.findings()
	case part == PartKeys && f.Terminal != nil:
		out = f.Terminal.keys()
	}
	for i := range out {
		out[i].Part = part
	}
	return out
}
