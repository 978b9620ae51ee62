package crewpage_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"drylane/show"
	roles "drylane/show/crew"
	"drylane/testdata/reftest"
)

// measure finds what is wrong with how a page looks: it is wider than its window, has
// buttons that a glove misses, or texts that cannot be read on their ground (WCAG 2.1,
// 1.4.3: 4.5 to 1).
const measure = `(() => {
  const wrong = [];
  if (document.documentElement.scrollWidth > innerWidth) wrong.push("it is " + document.documentElement.scrollWidth + " px wide");
  const seen = (e) => e.getClientRects().length > 0;
  for (const e of document.querySelectorAll("button, summary, input")) {
    const r = e.getBoundingClientRect();
    if (seen(e) && (r.width < 64 || r.height < 64)) wrong.push("#" + e.id + " " + e.textContent + " is " + r.width + " by " + r.height);
    if (seen(e) && !(e.textContent || e.getAttribute("aria-label") || (e.labels && e.labels.length))) wrong.push("#" + e.id + " has no name");
  }
  const parts = (c) => c.match(/[0-9.]+/g).map(Number);
  const light = (c) => { const [r, g, b] = parts(c).slice(0, 3).map((v) => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
  const ground = (e) => { for (; e; e = e.parentElement) { const c = getComputedStyle(e).backgroundColor, p = parts(c); if (p.length < 4 || p[3] > 0) return c; } return "rgb(0, 0, 0)"; };
  for (const e of document.querySelectorAll("body *")) {
    if (!seen(e) || ![...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim())) continue;
    const a = light(getComputedStyle(e).color), b = light(ground(e)), ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (ratio < 4.5) wrong.push("#" + e.id + " " + e.textContent + ": contrast " + ratio.toFixed(1));
    if (parseFloat(getComputedStyle(e).fontSize) < 16) wrong.push("#" + e.id + " is small");
  }
  return wrong;
})()`

// fits checks how a page looks upright and lying, on small and large telephones.
func fits(tab *reftest.Tab, t *testing.T, scene string) {
	t.Helper()
	for _, size := range [][2]int{{320, 568}, {430, 932}, {640, 360}, {360, 640}} {
		tab.Turn(size[0], size[1])
		tab.Await(fmt.Sprintf("innerWidth === %d", size[0]))
		var wrong []string
		tab.Eval(measure, &wrong)
		if len(wrong) > 0 {
			t.Errorf("%s, %v: %s", scene, size, strings.Join(wrong, "\n"))
		}
		var held bool
		tab.Eval(`(() => { const r = document.getElementById("hold").getBoundingClientRect(); return r.height === 0 || r.top >= 0 && r.bottom <= innerHeight && r.right <= innerWidth; })()`, &held)
		if !held {
			t.Errorf("%s, %v: HOLD is not in the window", scene, size)
		}
		shoot(tab, fmt.Sprintf("%s-%dx%d", scene, size[0], size[1]))
	}
}

// testRoles: each role has its page, on telephones of all sizes; who joins says no
// more than has to be said.
func testRoles(t *testing.T, b *reftest.Browser) {
	r := runLed(t, "silent", show.LostGoesOn)
	choose := b.Open(t, r.i.Link(roles.Position, 0), 360, 640) // a position, and which is to be said
	choose.Await(`document.querySelectorAll("#places button").length > 2`)
	choose.Await(`document.getElementById("title").textContent === link.view.you.title && link.view.you.title.length > 0 && document.getElementById("choose").checkVisibility()`)
	fits(choose, t, "choose")
	choose.Tap(fmt.Sprintf("#places button[data-place='%d']", r.at("Quay")))
	choose.Await(`document.title === "Quay, Quay: drylane"`)
	second := b.Open(t, r.i.Link(roles.Position, r.at("Quay")), 360, 640) // whose name is taken
	second.Await(`document.title === "Quay 2, Quay: drylane"`)
	typed := b.Open(t, r.i.Page, 360, 640) // who types the code
	typed.Await(`!document.getElementById("enter").hidden`)
	typed.Await(`document.getElementById("choose").hidden`)
	fits(typed, t, "typed")
	typed.Eval(fmt.Sprintf(`document.getElementById("code").value = " %s "; document.getElementById("name").value = "Ada"`, strings.ToLower(r.i.Codes[roles.Safety])), nil)
	typed.Tap("#go")
	typed.Await(`document.title === "Ada, safety: drylane"`)
	ear := b.Open(t, r.i.Link(roles.Listener, 0), 360, 640)
	ear.Await(`document.title === "Listener, listener: drylane"`)
	wrong := b.Open(t, r.i.Page+"#position-2222-2222", 360, 640)
	wrong.Await(`/not one of this rehearsal/.test(document.getElementById("why").textContent)`)
	fits(wrong, t, "wrong")

	r.do(show.Arm, show.Armed)
	ear.Await(`document.getElementById("word").textContent === "◆ ARMED"`)
	ear.Tap("#tap")
	ear.Await(`link.view.answer && link.view.answer.deed === "tap" && link.view.answer.refused && document.getElementById("tap").textContent === "tap on each accent"`)
	r.do(show.Start, show.Running)
	typed.Await(`document.getElementById("word").textContent === "▸ RUNNING" && document.querySelectorAll("#crew li").length === 4`)
	fits(typed, t, "safety-running")
	ear.Await(`document.getElementById("word").textContent === "▸ RUNNING"`)
	ear.Tap("#tap")
	ear.Await(`link.view.answer && link.view.answer.deed === "tap" && !link.view.answer.refused && document.getElementById("tap").textContent === "tap on each accent: 1"`)
	fits(ear, t, "listener-running")
	typed.Tap("#hold")
	second.Await(`document.getElementById("word").textContent === "■ HELD"`)
	fits(second, t, "held")
	r.eventually("it is shown everywhere", func() bool { l := r.line("Listener"); return l.Answer == roles.Awaited })
	r.Deck.Do(show.ScriptAction{Kind: show.KindStrike, Text: "Listener"}, time.Now())
	ear.Await(`/^STRUCK OFF/.test(document.getElementById("message").textContent) && !document.getElementById("acknowledge").disabled`)
	fits(ear, t, "struck")
	ear.Tap("#acknowledge")
	r.eventually("it is acknowledged all the same", func() bool { return r.line("Listener").Answer == roles.Answered })
	typed.Tap("#acknowledge")
	typed.Await(`document.getElementById("acknowledge").disabled`)
	typed.Turn(360, 740)
	typed.Await(`innerWidth === 360 && document.getElementById("refuse").getBoundingClientRect().bottom <= document.getElementById("hold").getBoundingClientRect().top`)
	typed.Tap("#refuse")
	typed.Tap("#reasons button")
	r.eventually("a resume is refused", func() bool { return r.lead.Board().Forbids != "" })
	typed.Await(`document.getElementById("refuse").textContent === "allow resume"`)
	fits(typed, t, "safety-held")
	typed.Tap("#refuse")
	r.eventually("a resume is allowed", func() bool { return r.lead.Board().Forbids == "" })

	second.Tap("summary")
	second.Eval(`document.getElementById("rename").value = "Ben"`, nil)
	second.Tap("#renaming")
	r.eventually("it has another name", func() bool { return r.line("Ben") != nil })
	second.Await(`document.getElementById("who").textContent === "Ben, Quay"`)
	fits(second, t, "more")
	second.Tap("#leave")
	second.Await(`!document.getElementById("enter").hidden`)
	r.eventually("it has left", func() bool { return r.line("Ben") == nil })
	second.Tap("#go")
	r.eventually("it is back", func() bool { return r.line("Ben") != nil })
	for _, tab := range []*reftest.Tab{choose, second, typed, ear} {
		if said := tab.Said(); len(said) > 0 {
			t.Errorf("on the console: %s", said)
		}
	}
}
