package crewpage_test

import (
	"net"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"drylane/playback/crew"
	"drylane/playback/folder"
	"drylane/playback/rehearsal"
	"drylane/playback/sink"
	"drylane/show"
	roles "drylane/show/crew"
	"drylane/testdata"
	"drylane/testdata/reftest"
)

// A led run is the demo show on the silent clock, with a crew and its page.
type led struct {
	*rehearsal.Run
	t    testing.TB
	lead *crew.Lead
	i    crew.Invitation
}

// runLed begins one; lost says what happens when a member is lost, which a machine that
// has other work may make of one that is there.
func runLed(t testing.TB, out string, lost show.LostRule) *led {
	t.Helper()
	l, err := folder.OpenFS("demo", testdata.Demo())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	l.Show.CrewLost = lost
	c := &rehearsal.Crew{Listen: "127.0.0.1:0", Page: "127.0.0.1:0"}
	r, err := rehearsal.New(l, rehearsal.Options{Crew: c, Log: filepath.Join(t.TempDir(), "log.jsonl"), Out: sink.Place{Where: out, Speed: "1"},
		Bangs: rehearsal.Bangs{Side: "both", Level: -12}})
	if err != nil {
		t.Fatal(err)
	}
	lead, err := r.LetCrewIn()
	if err != nil {
		t.Fatal(err)
	}
	stop := r.Go(t.Context())
	t.Cleanup(func() {
		r.Deck.Quit()
		if err := stop(); err != nil {
			t.Error(err)
		}
		lead.Close()
		r.End(nil)
	})
	return &led{r, t, lead, lead.Invitation()}
}

// do does what the shooter asks for, until the show is in that state: some is asked twice.
func (r *led) do(a show.Action, until show.State) {
	r.t.Helper()
	for limit := time.Now().Add(reftest.Patience); r.state() != until; time.Sleep(100 * time.Millisecond) {
		r.Deck.Command(show.Command{Action: a, By: show.ByShooter}, time.Now())
		if time.Now().After(limit) {
			r.t.Fatalf("never %v: it is %v: %v", until, r.state(), r.Deck.Snapshot().Message)
		}
		for wait := time.Now().Add(time.Second); r.state() != until && time.Now().Before(wait); time.Sleep(5 * time.Millisecond) {
		}
	}
}

// runs has the run go on until a page shows that it does.
func (r *led) runs(tab *reftest.Tab) {
	r.t.Helper()
	for limit := time.Now().Add(reftest.Patience); ; time.Sleep(20 * time.Millisecond) {
		var word string
		if tab.Eval(`document.getElementById("word").textContent`, &word); word == "▸ RUNNING" {
			return
		}
		if r.state() == show.Held {
			r.do(show.Resume, show.Running)
		}
		if time.Now().After(limit) {
			r.t.Fatalf("the page shows %q", word)
		}
	}
}

func (r *led) state() show.State { return r.Deck.Snapshot().Transport.State() }

// at is the number of a position, counted from 1.
func (r *led) at(name string) int { return slices.Index(r.i.Positions, name) + 1 }

// line is how the lead has a member of that name; nil when it has none.
func (r *led) line(name string) *crew.Line {
	for _, l := range r.lead.Board().Lines {
		if l.Name == name {
			return &l
		}
	}
	return nil
}

func (r *led) eventually(what string, ok func() bool) {
	r.t.Helper()
	for limit := time.Now().Add(reftest.Patience); !ok(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(limit) {
			r.t.Fatalf("never came: %s; the lead has %+v", what, r.lead.Board())
		}
	}
}

// shoot keeps a picture of the page where somebody wants to look at it.
func shoot(tab *reftest.Tab, name string) {
	if dir := os.Getenv("DRYLANE_PICTURES"); dir != "" {
		tab.Picture(filepath.Join(dir, name+".png"))
	}
}

// TestPage drives the page in a real browser, with the lead really running.
func TestPage(t *testing.T) {
	if testing.Short() {
		t.Skip("a browser and runs")
	}
	b := reftest.OpenBrowser(t)
	for name, test := range map[string]func(*testing.T, *reftest.Browser){"position": testPosition, "lost": testLost, "holds later": testHoldsLater, "roles": testRoles, "clock": testSameClock} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			test(t, b)
		})
	}
}

// testPosition: a telephone at a position goes through a run.
func testPosition(t *testing.T, b *reftest.Browser) {
	r := runLed(t, "silent", show.LostGoesOn)
	tab := b.Open(t, r.i.Link(roles.Position, r.at("Quay")), 360, 640)
	tab.Await(`document.title === "Quay, Quay: drylane"`) // opening the link has joined
	tab.Await(`document.getElementById("word").textContent === "○ SAFE"`)
	shoot(tab, "safe")
	tab.Tap("#hold")
	tab.Await(`document.getElementById("message").textContent === "the show is safe: nothing to hold"`)
	tab.Tap("#ready")
	r.eventually("it is ready", func() bool { l := r.line("Quay"); return l != nil && l.Ready })
	r.do(show.Arm, show.Armed)
	tab.Await(`document.getElementById("word").textContent === "◆ ARMED" && !/hold/i.test(document.getElementById("message").textContent)`)
	r.do(show.Start, show.Running)
	tab.Await(`document.getElementById("word").textContent === "▸ RUNNING"`)
	tab.Await(`!document.getElementById("next").hidden && document.getElementById("count").textContent.length > 2`)
	shoot(tab, "running")
	called := time.Now()
	tab.Tap("#hold")
	r.eventually("the run is held", func() bool { return r.state() == show.Held })
	t.Logf("held %v after HOLD was to be touched", time.Since(called).Round(time.Millisecond))
	tab.Await(`document.getElementById("word").textContent === "■ HELD"`)
	tab.Await(`!document.getElementById("acknowledge").hidden`)
	shoot(tab, "held")
	tab.Tap("#acknowledge")
	r.eventually("it is acknowledged", func() bool { l := r.line("Quay"); return l != nil && l.Answer == roles.Answered })
	tab.Await(`document.getElementById("acknowledge").disabled && document.getElementById("demand").textContent === "HELD IS NOT SAFE TO ENTER"`)
	r.do(show.Resume, show.Running)
	tab.Await(`document.querySelector("#past button")`)
	shoot(tab, "past")
	tab.Tap("#past button[data-deed=seen]")
	r.eventually("the cue is told of", func() bool {
		said := r.Deck.Snapshot().Said
		for i := range r.Plan.Cues {
			if by := said.Who(i, show.SeenOrHeard); len(by) > 0 {
				return strings.Contains(by[0], "Quay")
			}
		}
		return false
	})
	r.do(show.Cut, show.Safe)
	tab.Await(`document.getElementById("word").textContent === "○ CUT"`)
	tab.Await(`/^NOBODY GOES IN for \d+:\d\d; cut 0:\d\d ago$/.test(document.getElementById("since").textContent)`)
	shoot(tab, "cut")
	r.lead.Close()
	tab.Await(`document.getElementById("word").textContent === "□ OVER"`)
	if said := tab.Said(); len(said) > 0 {
		t.Errorf("on the console: %s", said)
	}
}

// A wire is a way to the page's server that can be cut: nothing passes until it is
// mended, and nobody is told.
type wire struct {
	net.Listener
	to string

	mu  sync.Mutex
	gap *sync.Cond
	cut bool
}

// through is a wire to the page, and the link that goes through it.
func (r *led) through(link string) (*wire, string) {
	r.t.Helper()
	u, err := url.Parse(link)
	if err != nil {
		r.t.Fatal(err)
	}
	w := newWire(r.t, u.Host)
	u.Host = w.Addr().String()
	return w, u.String()
}

func newWire(t testing.TB, to string) *wire {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	w := &wire{Listener: l, to: to}
	w.gap = sync.NewCond(&w.mu)
	t.Cleanup(func() { l.Close(); w.set(false) })
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			go w.carry(c)
		}
	}()
	return w
}

func (w *wire) set(cut bool) {
	w.mu.Lock()
	w.cut = cut
	w.mu.Unlock()
	w.gap.Broadcast()
}

func (w *wire) carry(c net.Conn) {
	defer c.Close()
	s, err := net.Dial("tcp", w.to)
	if err != nil {
		return
	}
	defer s.Close()
	go w.copy(s, c)
	w.copy(c, s)
}

func (w *wire) copy(to, from net.Conn) {
	defer to.Close()
	data := make([]byte, 4096)
	for {
		n, err := from.Read(data)
		w.mu.Lock()
		for w.cut {
			w.gap.Wait()
		}
		w.mu.Unlock()
		if _, e := to.Write(data[:n]); err != nil || e != nil {
			return
		}
	}
}

// testLost: a page whose link is cut says LINK LOST within a second and is held there,
// so is the run, and it comes back without a key as the same member; so does one that is
// loaded anew, or that nobody saw for a while.
func testLost(t *testing.T, b *reftest.Browser) {
	r := runLed(t, "silent", show.LostByRole)
	w, link := r.through(r.i.Link(roles.Position, r.at("Quay")))
	tab := b.Open(t, link, 360, 640)
	tab.Await(`document.title === "Quay, Quay: drylane"`)
	r.do(show.Arm, show.Armed)
	r.do(show.Start, show.Running)
	r.runs(tab)
	tab.Eval(`window.lostAfter = null; new MutationObserver(() => { if (/LINK LOST/.test(document.getElementById("word").textContent)) window.lostAfter ??= (own() - link.view.came) / 1e6; })
		.observe(document.getElementById("word"), { childList: true, characterData: true, subtree: true })`, nil)
	w.set(true)
	tab.Await(`window.lostAfter`)
	var after float64
	tab.Eval(`window.lostAfter`, &after)
	t.Logf("LINK LOST %.0f ms after the latest word of the lead", after)
	if after < 850 {
		t.Errorf("LINK LOST after %.0f ms", after)
	}
	shoot(tab, "lost")
	r.eventually("the lead misses it", func() bool { l := r.line("Quay"); return l != nil && l.Lost > 0 })
	r.eventually("the run is held", func() bool { return r.state() == show.Held })
	mended := time.Now()
	w.set(false)
	tab.Await(`document.getElementById("word").textContent === "■ HELD"`)
	t.Logf("back %v after the link was mended", time.Since(mended).Round(time.Millisecond))
	r.eventually("it is back", func() bool { return r.line("Quay").Lost == 0 })

	tab.Call("Page.reload", map[string]any{})
	tab.Await(`document.title === "Quay, Quay: drylane" && document.getElementById("word").textContent === "■ HELD"`)
	r.runs(tab)
	tab.Tap("#hold") // the first of the page that was loaded anew
	r.eventually("the run is held", func() bool { return r.state() == show.Held })
	if n := len(r.lead.Board().Lines); n != 1 {
		t.Errorf("%d members; wanted the one that it was", n)
	}
	r.runs(tab)
	tab.Eval(`Object.defineProperty(document, "hidden", { value: true, configurable: true }); document.dispatchEvent(new Event("visibilitychange"))`, nil)
	r.eventually("nobody sees it, and the run is held", func() bool { return r.line("Quay").Lost > 0 && r.state() == show.Held })
	tab.Eval(`delete document.hidden; document.dispatchEvent(new Event("visibilitychange"))`, nil)
	tab.Await(`document.getElementById("word").textContent === "■ HELD"`)
	r.eventually("it is back", func() bool { return r.line("Quay").Lost == 0 })
}

// testHoldsLater: a HOLD that is called while the link is lost is called once it is
// back, and once.
func testHoldsLater(t *testing.T, b *reftest.Browser) {
	r := runLed(t, "silent", show.LostGoesOn)
	w, link := r.through(r.i.Link(roles.Listener, 0))
	tab := b.Open(t, link, 360, 640)
	tab.Await(`document.title === "Listener, listener: drylane"`)
	r.do(show.Arm, show.Armed)
	r.do(show.Start, show.Running)
	r.runs(tab)
	w.set(true)
	tab.Await(`document.getElementById("word").textContent === "× LINK LOST"`)
	tab.Tap("#hold")
	tab.Await(`link.pending && document.getElementById("message").textContent === "calling HOLD: not answered yet; HOLD by radio or by voice"`)
	w.set(false)
	r.eventually("the run is held", func() bool { return r.state() == show.Held })
	tab.Await(`document.getElementById("word").textContent === "■ HELD" && !link.pending`)
	r.do(show.Resume, show.Running)
	tab.Await(`document.getElementById("word").textContent === "▸ RUNNING"`)
	if r.state() != show.Running {
		t.Error("it was called twice")
	}
}
