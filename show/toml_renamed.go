package show

// Renamed takes the value of a key by the name that it had before, old, with a
// warning that asks for the name that it has now. Both at once are a stop:
// nobody can say which of them was meant.
func (t *Table) Renamed(old, key string) {
	v, there := t.values[old]
	if !there {
		return
	}
	if t.Has(key) {
		t.known = append(t.known, old)
		t.Note(CodeDuplicate, old, "what "+key+" says too", "one line, "+key)
		return
	}
	delete(t.values, old)
	t.values[key] = v
	at := t.place(old)
	t.places[join(t.path, key)] = at
	t.add(Problem{
		Severity: SeverityWarn, Code: CodeKey, File: t.file, Line: at.line, Column: at.column,
		Found: "the key " + Quote(old) + ", which has another name now", Wanted: key,
	})
}
