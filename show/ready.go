package show

// An Ask is one line of the go / no-go list: who is asked before the show is armed, and
// what.
type Ask struct {
	Who  string `json:"who"`
	What string `json:"asks"`
	// Keeps says that the answer stands when somebody has been in the field since; any
	// other has to be given again then.
	Keeps bool `json:"keeps,omitempty"`
}

// An Answer is what somebody says who is asked. Its text is the word for it in scripts
// and logs.
type Answer string

// The answers.
const (
	NoAnswer   Answer = "" // none has been given, or it was withdrawn
	AnswerGo   Answer = "go"
	AnswerNoGo Answer = "no-go"
)

// ReadReady reads the [[ready]] tables of a file, in their order, which is that of the
// answers.
func ReadReady(tables []*Table) []Ask {
	names := names{}
	return each(tables, func(t *Table) Ask {
		a := Ask{Who: t.Text("who"), What: t.Text("asks"), Keeps: t.Flag("keeps")}
		t.Need("who", `who = "Spotter"`)
		t.Need("asks", `asks = "Nobody in the fallout area?"`)
		names.once(t, "who", a.Who)
		return a
	})
}
