package board

import (
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"drylane/show"

	"pgregory.net/rapid"
)

const s = time.Second

// evening is a small field: two modules at two positions, and a player.
func evening() []Want {
	return Wants(&show.Show{
		Soundtrack: show.Soundtrack{File: "music.wav", SHA256: "aa"},
		Modules:    []show.Module{{Name: "M1"}, {Name: "idle"}},
		Players:    []show.Player{{Name: "desk", File: "music.wav"}, {Name: "spare", File: "other.wav"}},
		Cues: []show.Cue{
			{ID: "1", Module: "M2", Pin: 3, Position: "Quay"}, {ID: "2", Module: "M1", Pin: 2, Position: "Mole"},
			{ID: "3", Module: "M1", Pin: 1, Position: "Mole"}, {ID: "4", Module: "M1", Pin: 9, Position: "Quay"}, {ID: "5"},
		},
	}, nil)
}

// devices are the evening's, all with the same figures.
func devices() []Device {
	var list []Device
	for _, w := range evening() {
		list = append(list, Device{w, Nominal{SignalDB: 25, ChargeNeeded: 0.6}, Fix{Walk: 60 * s, Work: 30 * s}})
	}
	return list
}

func newBoard(seed uint64, plants ...Plant) *Board { return New(Field{seed, devices(), plants}) }

func TestWants(t *testing.T) {
	want := []Want{
		{Kind: Module, Name: "M1", Position: "Mole", Pins: []int{1, 2, 9}},
		{Kind: Module, Name: "M2", Position: "Quay", Pins: []int{3}},
		{Kind: Player, Name: "desk", File: "music.wav", SHA256: "aa"},
		{Kind: Player, Name: "spare", File: "other.wav"},
	}
	if got := evening(); !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
}

// find is the row of a device.
func find(t *testing.T, b *Board, device string, now time.Duration) Row {
	t.Helper()
	rows := b.At(now)
	i := slices.IndexFunc(rows, func(r Row) bool { return r.Name == device })
	if i < 0 {
		t.Fatalf("no row for %s in %+v", device, rows)
	}
	return rows[i]
}

// Each fault is there to be seen, by what the board shows and nothing else.
func TestFaultsAreSeen(t *testing.T) {
	for _, c := range []struct {
		device string
		fault  Fault
		seen   func(b *Board) bool
	}{
		{"M1", Missing, func(b *Board) bool { r := find(t, b, "M1", time.Hour); return !r.Heard && !r.Answers }},
		{"M1", Late, func(b *Board) bool {
			return !find(t, b, "M1", 24*s).Heard && find(t, b, "M1", 61*s).Answers
		}},
		{"M1", Weak, func(b *Board) bool {
			on := 0
			for at := 10 * s; at < 110*s; at += s {
				if r := find(t, b, "M1", at); r.Answers {
					on++
				} else if r.SignalDB > 1 {
					return false
				}
			}
			return on > 20 && on < 80
		}},
		{"M2", LowCharge, func(b *Board) bool { r := find(t, b, "M2", 10*s); return r.Charge < r.Needs }},
		{"M1", OpenPin, func(b *Board) bool { r := find(t, b, "M1", 10*s); return len(r.Reading.Pins) == 2 }},
		{"M2", StrayPin, func(b *Board) bool { return reflect.DeepEqual(find(t, b, "M2", 10*s).Reading.Pins, []int{3, 4}) }},
		{"desk", WrongFile, func(b *Board) bool { return find(t, b, "desk", 10*s).Reading.File != "music.wav" }},
		{"desk", OtherSound, func(b *Board) bool {
			r := find(t, b, "desk", 10*s)
			return r.Reading.File == "music.wav" && r.Reading.SHA256 != "aa" && len(r.Reading.SHA256) == 64
		}},
		{"M1", SameNumber, func(b *Board) bool {
			rows := b.At(10 * s)
			return len(rows) == 5 && rows[1].Name == "M1" && rows[1].Twice && !rows[1].Planned && rows[1].Reading.Position == "Quay"
		}},
		{"X9", Unplanned, func(b *Board) bool { r := find(t, b, "X9", 10*s); return !r.Planned && r.Answers }},
	} {
		if b := newBoard(7, Plant{c.device, c.fault}); !c.seen(b) {
			t.Errorf("%s is not seen: %+v", c.fault, b.At(10*s))
		}
	}
	for _, f := range Faults() {
		if f.Help() == "" {
			t.Errorf("%s has no help", f)
		}
	}
}

// A healthy field answers within four seconds, reads healthy at any time and seed, and
// makes up the count.
func TestHealthyFieldReadsHealthy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := newBoard(rapid.Uint64().Draw(t, "seed"))
		rows := b.At(rapid.Custom(func(t *rapid.T) time.Duration {
			return 4*s + time.Duration(rapid.Int64Range(0, int64(10*time.Hour)).Draw(t, "ns"))
		}).Draw(t, "now"))
		for _, r := range rows {
			if !r.Answers || r.Charge < r.Needs || r.SignalDB < 10 || !slices.Equal(r.Reading.Pins, r.Want.Pins) || r.Reading.File != r.Want.File || r.Reading.SHA256 != r.Want.SHA256 {
				t.Errorf("%+v", r)
			}
		}
		if got := CountOf(rows).String(); got != "expected 4, answering 4" {
			t.Error(got)
		}
	})
}

// A stranger does not make up for one that is missing.
func TestCount(t *testing.T) {
	for _, c := range []struct {
		plants []Plant
		want   string
	}{
		{[]Plant{{"M1", Missing}}, "expected 4, answering 3"},
		{[]Plant{{"M1", Missing}, {"X9", Unplanned}}, "expected 4, answering 3, and 1 more"},
		{[]Plant{{"M1", SameNumber}}, "expected 4, answering 4, and 1 more"},
	} {
		if got := CountOf(newBoard(1, c.plants...).At(10 * s)).String(); got != c.want {
			t.Errorf("%v: %s, want %s", c.plants, got, c.want)
		}
	}
}

// The walk is a minute each way and the work half a minute: mended after 1:30, and
// back after 2:30.
func TestRepair(t *testing.T) {
	b := newBoard(1, Plant{"M1", Missing})
	if err := b.Do(Deed{At: 10 * s, Act: Repair, Device: "M1"}); err != nil {
		t.Fatal(err)
	}
	if err := b.Do(Deed{At: 20 * s, Act: Repair, Device: "M1"}); err == nil || err.Error() != "somebody is at M1 already" {
		t.Errorf("sent twice: %v", err)
	}
	if r := find(t, b, "M1", 99*s); r.Answers || !r.Out || r.Back != 160*s {
		t.Errorf("before it is mended: %+v", r)
	}
	if r := find(t, b, "M1", 100*s); !r.Answers || !r.Out {
		t.Errorf("mended: %+v", r)
	}
	if got := b.Out(159 * s); !slices.Equal(got, []Somebody{{"M1", 160 * s}}) {
		t.Errorf("out: %v", got)
	}
	if got := b.Out(160 * s); got != nil {
		t.Errorf("still out when back: %v", got)
	}
	for _, f := range []Fault{Unplanned, SameNumber} {
		b := newBoard(1, Plant{"M1", f})
		b.Do(Deed{At: 10 * s, Act: Repair, Device: "M1"})
		if got := CountOf(b.At(200 * s)); got.Strangers != 0 {
			t.Errorf("%s: %+v after the repair", f, got)
		}
	}
}

// What stands of a weak link that is not heard is what it last said.
func TestFiguresStandWhileNotHeard(t *testing.T) {
	b := newBoard(7, Plant{"M1", Weak})
	var last Row
	silent := 0
	for at := 10 * s; at < 110*s; at += 100 * time.Millisecond {
		r := find(t, b, "M1", at)
		if !r.Answers && !last.Answers && last.Heard {
			silent++
			if !reflect.DeepEqual(r.Reading, last.Reading) {
				t.Fatalf("at %v, silent: %+v, and before %+v", at, r.Reading, last.Reading)
			}
		}
		last = r
	}
	if silent < 200 {
		t.Errorf("silent for %d tenths only", silent)
	}
}

func TestRefusals(t *testing.T) {
	b := newBoard(1, Plant{"X9", Unplanned})
	for _, c := range []struct {
		deed Deed
		want string
	}{
		{Deed{At: s, Act: Mark, Device: "M7", Fault: Missing}, `no device "M7" is on the board`},
		{Deed{At: 10 * s, Act: Mark, Device: "M1", Fault: WrongFile}, `a module cannot be marked "wrong file"`},
		{Deed{At: 10 * s, Act: Mark, Device: "desk", Fault: OpenPin}, `a player cannot be marked "open pin"`},
	} {
		if err := b.Do(c.deed); err == nil || err.Error() != c.want {
			t.Errorf("%+v: %v, want %s", c.deed, err, c.want)
		}
	}
	if err := b.Do(Deed{At: 10 * s, Act: Mark, Device: "X9", Fault: Unplanned}); err != nil {
		t.Error(err)
	}
}

func TestAccount(t *testing.T) {
	b := newBoard(3, Plant{"M1", Missing}, Plant{"desk", OtherSound}, Plant{"M2", Late})
	for _, d := range []Deed{
		{At: 5 * s, Act: Mark, Device: "M2", Fault: Missing}, // so it looked
		{At: 8 * s, Act: Mark, Device: "M1", Fault: Weak},
		{At: 9 * s, Act: Mark, Device: "M1", Fault: Missing},
		{At: 12 * s, Act: Mark, Device: "spare", Fault: Weak},
		{At: 20 * s, Act: Repair, Device: "M1"},
		{At: 21 * s, Act: Repair, Device: "spare"},
		{At: 62 * s, Act: Mark, Device: "M2", Fault: NoFault}, // it answers
	} {
		if err := b.Do(d); err != nil {
			t.Fatal(err)
		}
	}
	want := Account{
		Found: []Found{
			{Plant: Plant{"M1", Missing}, Marked: true, At: 8 * s, Right: true, Mended: true},
			{Plant: Plant{"desk", OtherSound}, Open: true},
			{Plant: Plant{"M2", Late}, Marked: true, At: 5 * s, Right: true},
		},
		False:    []string{"spare"},
		Needless: []string{"spare"},
	}
	if got := b.Account(400 * s); !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
	if got := strings.Join(want.Words(true), "\n"); got != `Field board: 3 faults, 2 found, 2 named rightly
M1, missing: named rightly after 0:08.0, put right
desk, other content: not found, still wrong
M2, late: named rightly after 0:05.0
marked though nothing was wrong: spare
somebody was sent though nothing was wrong: spare
armed with these still wrong: desk` {
		t.Error(got)
	}
	if got := b.Account(30 * s); !slices.Equal(got.Out, []string{"M1", "spare"}) || got.Found[0].Mended || !got.Found[2].Right {
		t.Errorf("before the repair: %+v", got)
	}
}

// Whoever names each fault that was drawn is right in all, whatever the seed.
func TestWhoNamesAllIsRight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		plants := Draw(devices(), seed, 3)
		if again := Draw(devices(), seed, 3); !reflect.DeepEqual(plants, again) || len(plants) > 3 {
			t.Fatalf("%v, then %v", plants, again)
		}
		b := newBoard(seed, plants...)
		for _, p := range plants {
			if err := b.Do(Deed{At: 10 * s, Act: Mark, Device: p.Device, Fault: p.Fault}); err != nil {
				t.Fatal(err)
			}
			if err := b.Do(Deed{At: 11 * s, Act: Repair, Device: p.Device}); err != nil {
				t.Fatal(err)
			}
		}
		a := b.Account(time.Hour)
		for _, f := range a.Found {
			if !f.Right || !f.Mended || f.At != 10*s {
				t.Errorf("%+v", f)
			}
		}
		if len(a.False)+len(a.Out) != 0 {
			t.Errorf("%+v", a)
		}
		if got := CountOf(b.At(time.Hour)).String(); got != "expected 4, answering 4" {
			t.Error("after all repairs: " + got)
		}
	})
}

// Over many seeds every fault is drawn, and none half as often again as its share
// would have it.
func TestDrawDrawsAll(t *testing.T) {
	count := map[Fault]int{}
	list := devices()
	list[3].SHA256 = "bb"
	for seed := range uint64(2000) {
		for _, p := range Draw(list, seed, 3) {
			count[p.Fault]++
		}
		for _, p := range Draw(devices(), seed, 3) {
			if p == (Plant{"spare", OtherSound}) {
				t.Fatal("other content where no hash is recorded, so that nobody could see it")
			}
		}
	}
	for _, f := range Faults() {
		if count[f] < 100 {
			t.Errorf("%s was drawn %d times in 2000 boards", f, count[f])
		}
	}
	if got := Draw(nil, 1, 3); got != nil {
		t.Errorf("%v for no device", got)
	}
	if got := strange([]Device{{Want: Want{Name: "X9"}}}); strings.TrimLeft(got, "X9") != "" || got == "X9" {
		t.Errorf("a stranger called %s", got)
	}
}

func BenchmarkBoardOf300(b *testing.B) {
	var devices []Device
	for i := range 300 {
		devices = append(devices, Device{Want: Want{Name: string(rune('A'+i%26)) + strings.Repeat("x", i/26), Pins: []int{1, 2, 3}}, Nominal: Nominal{25, 0.6}})
	}
	f := New(Field{1, devices, Draw(devices, 1, 12)})
	b.ReportAllocs()
	for b.Loop() {
		if len(f.At(time.Minute)) < 300 {
			b.Fatal("devices are missing")
		}
	}
}

// What was marked stays put right from the end of the work until the mark is changed.
func TestPutRight(t *testing.T) {
	t.Parallel()
	b := newBoard(7, Plant{"M1", Missing})
	for _, d := range []Deed{
		{At: 10 * s, Act: Mark, Device: "M1", Fault: Weak}, {At: 20 * s, Act: Repair, Device: "M1"}, {At: 20 * s, Act: Repair, Device: "M2"},
		{At: 30 * s, Act: Mark, Device: "M1", Fault: Missing}, {At: 200 * s, Act: Mark, Device: "M1", Fault: Weak},
	} {
		if err := b.Do(d); err != nil {
			t.Fatal(err)
		}
	}
	for at, want := range map[time.Duration]bool{15 * s: false, 109 * s: false, 110 * s: true, 199 * s: true, 200 * s: false, time.Hour: false} {
		if got := find(t, b, "M1", at).PutRight; got != want {
			t.Errorf("after %v: %v, want %v", at, got, want)
		}
	}
	if find(t, b, "M2", time.Hour).PutRight {
		t.Error("what nobody marked is put right")
	}
}
