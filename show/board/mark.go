package board

import (
	"fmt"
	"strings"
)

// fine is the word that takes a mark back.
const fine = "ok"

// Word is the fault as it is marked: its text, or "ok".
func (f Fault) Word() string {
	if f == NoFault {
		return fine
	}
	return string(f)
}

// ParseMark reads what a mark says: a device's name, which may have spaces in it, and
// a fault, or "ok".
func ParseMark(text string) (device string, f Fault, err error) {
	all := []string{fine}
	for _, f := range Faults() {
		all = append(all, string(f))
	}
	for _, word := range all {
		device, found := strings.CutSuffix(text, " "+word)
		if !found || strings.TrimSpace(device) == "" {
			continue
		}
		if word == fine {
			return strings.TrimSpace(device), NoFault, nil
		}
		return strings.TrimSpace(device), Fault(word), nil
	}
	return "", NoFault, fmt.Errorf("found %q; wanted a device and one of: %s", text, strings.Join(all, ", "))
}

// MarkText is what ParseMark reads.
func MarkText(device string, f Fault) string { return device + " " + f.Word() }
