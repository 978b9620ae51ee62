package show

import (
	"strings"
	"testing"

	"drylane/show/ascii"
)

// TestFamilyOf: what the trade calls effects in eight languages.
func TestFamilyOf(t *testing.T) {
	for family, effects := range map[Family][]string{
		FamilyShell: {
			"red peony shell", "willow shells", "red peony with silver tail", "gold spider", "peony, silver tail", "shell with comet tail",
			"rote Päonie mit Silberschweif", "Kugelbombe Pfingstrose", "Pfingstrosenbombe", "Goldweide", "Bombe rot",
			"bombe pivoine à queue de comète", "saule doré", "PIVOINE ROUGE avec comète",
			"carcasa peonía roja", "palmera dorada con cola", "araña de plata", "bomba crisantemo con trueno",
			"granata salice", "peonia rossa con coda", "anello verde",
			"cilinderbom pioenroos", "gouden treurwilg met staart", "silverbommen",
			"bomba peônia vermelha", "salgueiro dourado", "anéis azuis", "palmeira com cauda",
			"bomba chryzantema", "piwonia czerwona z ogonem", "pająk złoty",
		},
		FamilySalute: {"titanium salute", "Kanonenschläge", "Böller", "marron d'air", "trueno", "tuoni", "knal", "trovão", "huk"},
		FamilyComet: {"silver tail", "gold comet with glitter", "Silberkomet", "Komet mit Blinkschweif", "comète or", "cometa de plata", "comete argento",
			"komeet goud", "kometa srebrna", "cometas"},
		FamilyMine:     {"willow mine", "silver mine with peony", "Feuertöpfe", "pot à feu rouge", "mina de plata", "mijn zilver", "mina srebrna", "miny"},
		FamilyCandle:   {"blue candle shot", "Römisches Licht", "chandelle romaine bleue", "candela romana", "candele", "Romeinse kaars", "vela romana", "rzymska świeca"},
		FamilyCake:     {"25 shot fan cake", "crackling barrage", "Feuerwerksbatterie", "batterie 25 coups", "batería", "batteria", "batterij", "bateria", "wyrzutnia"},
		FamilyFountain: {"silver waterfall", "gold fountain", "Fontäne", "Silberwasserfall", "fontaine argent", "fuente", "fontana", "fontein", "vulcão", "wodospad", "fontanna"},
		FamilyFlame:    {"flame burst", "Flammen", "flamme", "llama", "fiamma", "vlam", "chama", "płomień"},
		FamilyOther:    {"", "12", "carmine", "red single shot", "Einzelschüsse rot", "monocoup", "monotiro", "colpo singolo", "enkelschot", "jednostrzał", "example"},
	} {
		for _, effect := range effects {
			if got := FamilyOf(effect); got != family {
				t.Errorf("%q: %s, want %s", effect, got, family)
			}
		}
	}
}

// TestNamesDevice: how a thing looks does not say what it is.
func TestNamesDevice(t *testing.T) {
	for effect, want := range map[string]bool{
		"silver waterfall": false, "gold spider": false, "silver tail": false, "": false, "gold": false, "cascada": false, "Schweif": false,
		"silver mine": true, "comet": true, "single shots": true, "Einzelschuss": true, "peony shell": true, "waterfall fountain": true, "pot à feu": true,
	} {
		if got := NamesDevice(effect); got != want {
			t.Errorf("%q: %v, want %v", effect, got, want)
		}
	}
}

// TestEffectWordsArePlain: a word with an accent in the table would never be
// found, and one that stands twice in a language is a slip.
func TestEffectWordsArePlain(t *testing.T) {
	seen := map[string]bool{}
	for _, e := range effectWords {
		if !strings.Contains("en "+nounFirst+" "+compounding, e.language) {
			t.Errorf("the language %q", e.language)
		}
		for word := range strings.SplitSeq(e.words, ",") {
			if strings.Trim(word, "abcdefghijklmnopqrstuvwxyz ") != "" || word != strings.TrimSpace(word) {
				t.Errorf("%s: the word %q", e.language, word)
			}
			if key := e.language + " " + word; seen[key] {
				t.Errorf("%s stands twice", key)
			} else {
				seen[key] = true
			}
			if got, ok := termAt(strings.Fields(word), strings.Count(word, " ")); !ok || got.family != e.family {
				t.Errorf("%s: %q reads as %s, want %s", e.language, word, got.family, e.family)
			}
		}
	}
}

func FuzzFamilyOf(f *testing.F) {
	for _, s := range []string{"red peony shell", "pot à feu", "a with", "with", "ł ß ä", "\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, effect string) {
		if FamilyOf(effect) >= FamilyCount || FamilyOf(effect) != FamilyOf(strings.ToUpper(strings.ToLower(effect))) && ascii.Is(effect) {
			t.Errorf("%q: %s", effect, FamilyOf(effect))
		}
	})
}
