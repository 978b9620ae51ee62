package board

import "slices"

// A Fault is what can be wrong with a device. Its text is the word for it in files,
// scripts and logs.
type Fault string

// The faults. A Fault is empty where nothing is wrong.
const (
	NoFault    Fault = ""
	Missing    Fault = "missing"       // it does not answer
	Late       Fault = "late"          // it answers long after the others, and then well
	Weak       Fault = "weak link"     // it answers now and then
	LowCharge  Fault = "low battery"   // it will not last the show with its longest hold
	OpenPin    Fault = "open pin"      // a pin that the list fires has no match in it
	StrayPin   Fault = "stray pin"     // a pin has a match in it that the list does not fire
	WrongFile  Fault = "wrong file"    // it has a file of another name
	OtherSound Fault = "other content" // it has a file of the right name that is another
	SameNumber Fault = "same number"   // two devices answer to one name
	Unplanned  Fault = "not planned"   // a device answers that nobody planned
)

// A faultRow is what is known of a fault.
type faultRow struct {
	fault Fault
	kinds []Kind // that can have it
	help  string
}

var both = []Kind{Module, Player}

var faultTable = []faultRow{
	{Missing, both, "it does not answer at all"},
	{Late, both, "it answers long after the others"},
	{Weak, both, "its link comes and goes"},
	{LowCharge, both, "its battery will not last show and longest hold"},
	{OpenPin, []Kind{Module}, "a pin that the list fires is open"},
	{StrayPin, []Kind{Module}, "a pin has a match in it that the list does not fire"},
	{WrongFile, []Kind{Player}, "it has a file of another name"},
	{OtherSound, []Kind{Player}, "it has a file of the right name with other content"},
	{SameNumber, both, "two devices answer to its name"},
	{Unplanned, both, "a device answers that nobody planned"},
}

// Faults are all faults, in the order in which they are listed.
func Faults() []Fault {
	var list []Fault
	for _, r := range faultTable {
		list = append(list, r.fault)
	}
	return list
}

// FaultsOf are the faults that a device of the kind can have, in the order in which
// they are listed.
func FaultsOf(k Kind) []Fault {
	var list []Fault
	for _, r := range faultTable {
		if slices.Contains(r.kinds, k) {
			list = append(list, r.fault)
		}
	}
	return list
}

// Help is the fault in a few words; empty for one that there is not.
func (f Fault) Help() string {
	if i := slices.IndexFunc(faultTable, func(r faultRow) bool { return r.fault == f }); i >= 0 {
		return faultTable[i].help
	}
	return ""
}
