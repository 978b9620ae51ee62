package show

import "strings"

// A Family groups effects that look and sound alike.
type Family uint8

// The effect families, in the order lanes show them.
const (
	FamilyOther Family = iota
	FamilyShell
	FamilySalute
	FamilyComet
	FamilyMine
	FamilyCandle
	FamilyCake
	FamilyFountain
	FamilyFlame
	FamilyCount // how many there are
)

var familyNames = [FamilyCount]string{"other", "shell", "salute", "comet", "mine", "candle", "cake", "fountain", "flame"}

// String returns the family's trade name in the singular.
func (f Family) String() string {
	if f >= FamilyCount {
		return "other"
	}
	return familyNames[f]
}

// familyWords maps words found in an effect's description to its family. The
// names are general pyrotechnic terms (common practice, no source).
var familyWords = map[string]Family{
	"shell": FamilyShell, "peony": FamilyShell, "chrysanthemum": FamilyShell, "willow": FamilyShell,
	"palm": FamilyShell, "kamuro": FamilyShell, "brocade": FamilyShell, "dahlia": FamilyShell, "crossette": FamilyShell, "ring": FamilyShell,
	"salute": FamilySalute, "report": FamilySalute, "maroon": FamilySalute,
	"comet": FamilyComet, "tail": FamilyComet,
	"mine":   FamilyMine,
	"candle": FamilyCandle, "candles": FamilyCandle,
	"cake": FamilyCake, "battery": FamilyCake, "barrage": FamilyCake,
	"fountain": FamilyFountain, "gerb": FamilyFountain, "waterfall": FamilyFountain, "lance": FamilyFountain,
	"flame": FamilyFlame,
}

// FamilyOf reads the family from an effect's description: the last word that
// names one decides, because the noun comes last ("willow mine" is a mine).
func FamilyOf(effect string) Family {
	words := strings.FieldsFunc(strings.ToLower(effect), func(r rune) bool {
		return !('a' <= r && r <= 'z')
	})
	for i := len(words) - 1; i >= 0; i-- {
		w := words[i]
		if f, ok := familyWords[w]; ok {
			return f
		}
		if f, ok := familyWords[strings.TrimSuffix(w, "s")]; ok {
			return f
		}
	}
	return FamilyOther
}
