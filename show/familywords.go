package show

import "strings"

// effectWords are the words of effect descriptions and the family of each, in
// the languages that lists come in: general terms of the trade, common practice
// and no source. A word that names the device itself (bomb, mine, battery)
// outweighs one for how it looks: a tail or a waterfall is an effect of shells too.
// Words stand without accents; several with a space between are one term. The
// first language that has a word settles it.
var effectWords = []struct {
	language string
	family   Family
	device   bool
	words    string // separated by commas
}{
	{"en", FamilyShell, true, "shell,shells"},
	{"en", FamilyShell, false, "peony,chrysanthemum,willow,palm,kamuro,brocade,dahlia,crossette,ring,spider,diadem,horsetail,coconut"},
	{"en", FamilySalute, true, "salute,report,maroon"},
	{"en", FamilyComet, true, "comet"},
	{"en", FamilyComet, false, "tail"},
	{"en", FamilyMine, true, "mine"},
	{"en", FamilyCandle, true, "candle,candles,bombette"},
	{"en", FamilyCake, true, "cake,battery,batteries,barrage"},
	{"en", FamilyFountain, true, "fountain,gerb,lance"},
	{"en", FamilyFountain, false, "waterfall"},
	{"en", FamilyFlame, true, "flame"},
	{"en", FamilyOther, true, "single shot,single shots"},

	{"fr", FamilyShell, true, "bombe,bombes"},
	{"fr", FamilyShell, false, "pivoine,pivoines,chrysantheme,chrysanthemes,saule,saules,palmier,palmiers,brocart,anneau,anneaux,araignee,araignees"},
	{"fr", FamilySalute, true, "marron d air,marrons d air,marron,marrons"},
	{"fr", FamilyComet, true, "comete,cometes"},
	{"fr", FamilyComet, false, "queue"},
	{"fr", FamilyMine, true, "pot a feu,pots a feu"},
	{"fr", FamilyCandle, true, "chandelle romaine,chandelles romaines,chandelle,chandelles"},
	{"fr", FamilyCake, true, "batterie"},
	{"fr", FamilyFountain, true, "fontaine,fontaines,gerbe,gerbes"},
	{"fr", FamilyFountain, false, "cascade,cascades"},
	{"fr", FamilyFlame, true, "flamme,flammes"},
	{"fr", FamilyOther, true, "monocoup,monocoups,monotir,monotirs"},

	{"de", FamilyShell, true, "bomben,kugelbombe,kugelbomben,zylinderbombe,zylinderbomben"},
	{"de", FamilyShell, false, "paonie,paonien,pfingstrose,pfingstrosen,chrysantheme,chrysanthemen,weide,trauerweide,palme,palmen,dahlie,dahlien,brokat,spinne"},
	{"de", FamilySalute, true, "salut,kanonenschlag,kanonenschlage,donnerschlag,boller"},
	{"de", FamilyComet, true, "komet,kometen"},
	{"de", FamilyComet, false, "schweif"},
	{"de", FamilyMine, true, "minen,sternmine,feuertopf,feuertopfe"},
	{"de", FamilyCandle, true, "romisches licht,romische lichter,romischen lichter,bombettenrohr,bombettenrohre"},
	{"de", FamilyCake, true, "batterien,feuerwerksbatterie,verbundfeuerwerk"},
	{"de", FamilyFountain, true, "fontane,fontanen,vulkan,vulkane,lanze,lanzen"},
	{"de", FamilyFountain, false, "wasserfall"},
	{"de", FamilyFlame, true, "flammen"},
	{"de", FamilyOther, true, "einzelschuss,einzelschusse"},

	{"es", FamilyShell, true, "carcasa,carcasas,bomba,bombas,granada,granadas"},
	{"es", FamilyShell, false, "peonia,peonias,crisantemo,crisantemos,sauce,sauces,palmera,palmeras,dalia,dalias,brocado,anillo,anillos,arana,aranas"},
	{"es", FamilySalute, true, "trueno,truenos,petardo,petardos,salva,salvas"},
	{"es", FamilyComet, true, "cometa,cometas"},
	{"es", FamilyComet, false, "cola"},
	{"es", FamilyMine, true, "mina,minas"},
	{"es", FamilyCandle, true, "candela romana,candelas romanas,candela,candelas"},
	{"es", FamilyCake, true, "bateria,baterias"},
	{"es", FamilyFountain, true, "fuente,fuentes,volcan,volcanes"},
	{"es", FamilyFountain, false, "cascada,cascadas"},
	{"es", FamilyFlame, true, "llama,llamas"},
	{"es", FamilyOther, true, "monotiro,monotiros,tiro unico,disparo unico"},

	{"it", FamilyShell, true, "granata,granate"},
	{"it", FamilyShell, false, "peonie,crisantemi,salice,salici,palma,palme,broccato,anello,anelli,ragno,ragni"},
	{"it", FamilySalute, true, "botto,botti,tuono,tuoni"},
	{"it", FamilyComet, true, "comete"},
	{"it", FamilyComet, false, "coda"},
	{"it", FamilyCandle, true, "candele romane,candele"},
	{"it", FamilyCake, true, "batteria"},
	{"it", FamilyFountain, true, "fontana,fontane"},
	{"it", FamilyFountain, false, "cascata,cascate"},
	{"it", FamilyFlame, true, "fiamma,fiamme"},
	{"it", FamilyOther, true, "monocolpo,monocolpi,colpo singolo,colpi singoli"},

	{"nl", FamilyShell, true, "bom,bommen,cilinderbom,cilinderbommen"},
	{"nl", FamilyShell, false, "pioen,pioenroos,pioenrozen,chrysant,chrysanten,wilg,treurwilg,palmboom,brokaat"},
	{"nl", FamilySalute, true, "knal,knallen,saluut"},
	{"nl", FamilyComet, true, "komeet,kometen"},
	{"nl", FamilyComet, false, "staart"},
	{"nl", FamilyMine, true, "mijn,mijnen"},
	{"nl", FamilyCandle, true, "romeinse kaars,romeinse kaarsen,kaars,kaarsen"},
	{"nl", FamilyCake, true, "batterij,batterijen"},
	{"nl", FamilyFountain, true, "fontein,fonteinen"},
	{"nl", FamilyFountain, false, "waterval"},
	{"nl", FamilyFlame, true, "vlam,vlammen"},
	{"nl", FamilyOther, true, "enkelschot,enkelschoten,enkel schot"},

	{"pt", FamilyShell, false, "salgueiro,palmeira,palmeiras,anel,aneis,aranha,aranhas"},
	{"pt", FamilySalute, true, "trovao,trovoes"},
	{"pt", FamilyComet, false, "cauda"},
	{"pt", FamilyCandle, true, "vela romana,velas romanas,vela,velas"},
	{"pt", FamilyCake, true, "torta,tortas"},
	{"pt", FamilyFountain, true, "fonte,fontes,vulcao,vulcoes"},
	{"pt", FamilyFlame, true, "chama,chamas,labareda,labaredas"},

	{"pl", FamilyShell, true, "bomby,kula,kule"},
	{"pl", FamilyShell, false, "piwonia,piwonie,chryzantema,chryzantemy,wierzba,wierzby,palmy,pierscien,pajak"},
	{"pl", FamilySalute, true, "huk,petarda,petardy"},
	{"pl", FamilyComet, true, "kometa,komety"},
	{"pl", FamilyComet, false, "ogon"},
	{"pl", FamilyMine, true, "miny"},
	{"pl", FamilyCandle, true, "rzymska swieca,rzymskie swiece,ognie rzymskie,swieca,swiece"},
	{"pl", FamilyCake, true, "baterie,wyrzutnia,wyrzutnie"},
	{"pl", FamilyFountain, true, "fontanna,fontanny,wulkan,wulkany"},
	{"pl", FamilyFountain, false, "wodospad"},
	{"pl", FamilyFlame, true, "plomien,plomienie"},
	{"pl", FamilyOther, true, "jednostrzal,pojedynczy strzal,pojedyncze strzaly"},
}

// nounFirst are the languages that put what a thing is before what it is like.
const nounFirst = "fr es it pt pl"

// compounding are the languages that write a noun and what is before it as one
// word: the end of a word that begins with something else counts there.
const compounding = "de nl"

// shortestEnd is the length, in letters, from which the end of a compound counts:
// a shorter one ends words of other languages too.
const shortestEnd = 5

// joining are the words for "with": what comes after them is not the noun.
var joining = map[string]bool{"with": true, "mit": true, "avec": true, "con": true, "met": true, "com": true, "z": true, "ze": true}

// A term is what one entry of effectWords says.
type term struct {
	family Family
	device bool
	first  bool // the noun comes first in its language
}

// The table, indexed: terms by word or by words with spaces between, phrases by
// their last word, and the ends of compounds.
var terms, phrases, ends = index()

func index() (terms map[string]term, phrases map[string][]string, ends []string) {
	terms, phrases = map[string]term{}, map[string][]string{}
	for _, e := range effectWords {
		for word := range strings.SplitSeq(e.words, ",") {
			if _, taken := terms[word]; taken {
				continue
			}
			terms[word] = term{e.family, e.device, strings.Contains(nounFirst, e.language)}
			if i := strings.LastIndexByte(word, ' '); i >= 0 {
				phrases[word[i+1:]] = append(phrases[word[i+1:]], word)
			} else if strings.Contains(compounding, e.language) && len(word) >= shortestEnd {
				ends = append(ends, word)
			}
		}
	}
	return terms, phrases, append(ends, "bombe", "batterie") // which are German as they are French
}
