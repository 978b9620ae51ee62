package exchange

import (
	"slices"
	"strings"
	"unicode"
)

// A vocabulary is what people write over a column of cues. A strong word stands for
// little else, a weak one for other things as well. General vocabulary of English,
// German, French, Spanish, Italian, Dutch, Portuguese and Polish, no source: no
// program's layout is meant.
type vocabulary struct{ strong, weak string }

var columnWords = [ColumnCount]vocabulary{
	Cue:      {"cue no nr id num number nummer numero lp", "line row step"},
	EffectAt: {"break burst visible seen effect effekt effet efecto effetto efeito efekt", "time zeit temps tiempo tempo tijd czas at when timecode"},
	IgniteAt: {"ignite ignition ignites fire fired firing launch lift shoot zundung zundzeit allumage disparo accensione ontsteking zaplon", "start event"},
	Prefire:  {"prefire pre lead delay flight rise vorlauf steigzeit retard retardo ritardo vertraging opoznienie", "offset advance"},
	Position: {"position pos site place location station stelle standort ort platz lieu poste lugar sitio posizione positie plaats posicao pozycja", "area zone group where"},
	Module:   {"module modul modulo box unit device kasten boitier caja scatola kast", "rack hardware"},
	Pin:      {"pin pins channel chan ch output out terminal port kanal ausgang canal voie sortie salida uscita kanaal wyjscie", "address"},
	Effect:   {"effect effekt effet efecto effetto efeito efekt description desc product item firework article artikel beschreibung bezeichnung descripcion descrizione opis produkt produit", "name type what title"},
	Caliber:  {"caliber calibre cal kaliber calibro size diameter dia durchmesser grosse taille mm inch inches", ""},
	Burn:     {"burn duration dur dauer brenndauer duree duracion durata duur duracao", "length"},
	Note:     {"note notes remark remarks comment comments bemerkung kommentar remarque nota notas opmerking uwaga uwagi", "info memo"},
}

// nameScore is how much a column's name speaks for column c: 3 for a strong word,
// 1 for a weak one.
func nameScore(name string, c Column) int {
	strong, weak := strings.Fields(columnWords[c].strong), strings.Fields(columnWords[c].weak)
	score := 0
	for _, w := range nameWords(name) {
		switch {
		case slices.Contains(strong, w):
			return 3
		case slices.Contains(weak, w):
			score = 1
		}
	}
	return score
}

// accents are the letters of those languages without what stands above or below them.
var accents = strings.NewReplacer("ä", "a", "á", "a", "à", "a", "â", "a", "ã", "a", "ą", "a", "ç", "c", "ć", "c", "é", "e", "è", "e", "ê", "e", "ę", "e",
	"í", "i", "ł", "l", "ñ", "n", "ó", "o", "ö", "o", "ô", "o", "ś", "s", "ß", "ss", "ü", "u", "ú", "u", "ź", "z", "ż", "z")

// nameWords are the words of a column's name, the unit in brackets among them.
func nameWords(name string) []string {
	return strings.FieldsFunc(accents.Replace(strings.ToLower(name)), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}
