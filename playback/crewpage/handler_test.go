package crewpage_test

import (
	"io"
	"net/http"
	"strings"
	"testing"

	"drylane/playback/crew"
	"drylane/playback/crewpage"
	roles "drylane/show/crew"
)

// TestServed: the page comes with what keeps others out of it, and nothing else is there.
func TestServed(t *testing.T) {
	r := newRig(t, false, false)
	c := newClient(t)
	reply, err := c.Get(r.page)
	if err != nil {
		t.Fatal(err)
	}
	defer reply.Body.Close()
	page, _ := io.ReadAll(reply.Body)
	for head, want := range map[string]string{"Content-Security-Policy": "default-src 'none'; script-src 'sha256-", "Referrer-Policy": "no-referrer",
		"Cache-Control": "no-store", "X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "Content-Type": "text/html; charset=utf-8"} {
		if got := reply.Header.Get(head); !strings.HasPrefix(got, want) {
			t.Errorf("%s is %q; wanted %q", head, got, want)
		}
	}
	if reply.Header.Get("Set-Cookie") != "" || strings.Contains(reply.Header.Get("Content-Security-Policy"), "unsafe") {
		t.Errorf("it comes with %v", reply.Header)
	}
	for _, outside := range []string{"http:", "https:", "//cdn", "@import", "url(", "{{"} {
		if strings.Contains(string(page), outside) {
			t.Errorf("the page has %q in it", outside)
		}
	}
	if reply.TLS == nil || reply.TLS.Version < 0x304 {
		t.Errorf("it came over %+v", reply.TLS)
	}
	for path, want := range map[string]int{"x": 404, "join": 405, "say": 405, "..%2f": 404, "debug/pprof/": 404} {
		reply, err := c.Get(r.page + path)
		if err != nil {
			t.Fatal(err)
		}
		reply.Body.Close()
		if reply.StatusCode != want {
			t.Errorf("/%s: %d; wanted %d", path, reply.StatusCode, want)
		}
	}
}

// TestRefused: what is no page of this lead's is refused, and says why to a person.
func TestRefused(t *testing.T) {
	r := newRig(t, false, false)
	good := newPhone(t, r.page, r.code(roles.Position)).Join
	with := func(change func(*crewpage.Join)) crewpage.Join {
		j := good
		change(&j)
		return j
	}
	head := func(name, value string) func(*http.Request) {
		return func(r *http.Request) { r.Header.Set(name, value) }
	}
	for name, c := range map[string]struct {
		path   string
		body   any
		head   func(*http.Request)
		status int
		why    string
	}{
		"another origin":        {"join", good, head("Origin", "https://elsewhere.example"), 403, "another page asks"},
		"another site":          {"join", good, head("Sec-Fetch-Site", "cross-site"), 403, "another page asks"},
		"a form":                {"join", good, head("Content-Type", "text/plain"), 400, "wanted application/json"},
		"no JSON":               {"join", "code=x", nil, 400, "does not read"},
		"two of it":             {"join", `{"drylane_page":1} {}`, nil, 400, "something behind"},
		"too much":              {"join", `{"code":"` + strings.Repeat("x", 5000) + `"}`, nil, 400, "more than 4096 bytes"},
		"another version":       {"join", with(func(j *crewpage.Join) { j.Page = 2 }), nil, 400, "load the page anew"},
		"a trainer":             {"join", with(func(j *crewpage.Join) { j.Code = r.code(roles.Trainer) }), nil, 400, "for a trainer"},
		"a wrong code":          {"join", with(func(j *crewpage.Join) { j.Code = "position-2222-2222" }), nil, 403, "the code is not one of this rehearsal's"},
		"another form of it":    {"join", with(func(j *crewpage.Join) { j.ID = "*" }), nil, 403, "load it anew"},
		"nobody":                {"say", crewpage.Words{ID: good.ID, Secret: good.Secret, What: "hold", Data: []byte("{}")}, nil, 409, "nobody has joined"},
		"nobody from elsewhere": {"say", crewpage.Words{}, head("Origin", "null"), 403, "another page asks"},
	} {
		reply := post(t, newClient(t), r.page+c.path, c.body, c.head)
		if reply == nil {
			t.Errorf("%s: no reply", name)
			continue
		}
		if why := refused(reply); reply.StatusCode != c.status || !strings.Contains(why, c.why) {
			t.Errorf("%s: %d %q; wanted %d %q", name, reply.StatusCode, why, c.status, c.why)
		}
	}
}

// TestMay: a page does what its role may, as itself alone.
func TestMay(t *testing.T) {
	r := newRig(t, false, false)
	quay, safety := newPhone(t, r.page, r.code(roles.Position)), newPhone(t, r.page, r.code(roles.Safety))
	if why := quay.as("Ben", "position:Quay"); why != "" {
		t.Fatal(why)
	}
	if why := safety.as("Ben", "safety"); !strings.Contains(why, "is in the crew already") {
		t.Errorf("a name was taken twice: %q", why)
	}
	for what, want := range map[string]int{"resume": 403, "nudge": 403, "strikeoff": 403, "object": 403, "tap": 403, "ready": 204, "standdown": 204, "hold.x": 403, "": 403, "welcome": 403} {
		if got := quay.say(what, crew.Deed{}); got != want {
			t.Errorf("%q at a position: %d; wanted %d", what, got, want)
		}
	}
	other := *quay
	other.Secret = safety.Secret
	if got := other.say("hold", crew.Deed{}); got != 409 {
		t.Errorf("it spoke as another: %d", got)
	}
	if why := (&phone{Join: other.Join, t: t, client: newClient(t), page: r.page}).join(); why == "" {
		t.Error("it came in as another")
	}
	quay.say("hello", crew.Hello{Version: crew.Version, Name: "Ben", Role: "safety"})
	if w := string(quay.await("welcome")); !strings.Contains(w, "wanted that of the code") {
		t.Errorf("it changed what its code is for: %s", w)
	}
	if got := quay.say("hold", crew.Deed{Call: 1}); got != 204 {
		t.Errorf("a HOLD: %d", got)
	}
	if who := <-r.run.holds; who != "Ben" {
		t.Errorf("%q called it", who)
	}
}

// TestOnce: a code for one person lets in one page, which comes back without another; a
// second page of the same member takes the place of the first.
func TestOnce(t *testing.T) {
	r := newRig(t, true, false)
	code := r.code(roles.Spotter)
	first := newPhone(t, r.page, strings.ToLower(code))
	if why := first.as("Eve", "spotter"); why != "" {
		t.Fatal(why)
	}
	if why := newPhone(t, r.page, code).join(); why == "" {
		t.Error("the code let in two")
	}
	again := *first
	again.client, again.lines = newClient(t), newPhone(t, "", "").lines
	if why := again.as("Eve", "spotter"); why != "" {
		t.Errorf("it could not come back: %s", why)
	}
	if first.await("moved") == nil {
		t.Error("the first page was not told")
	}
	if next := r.code(roles.Spotter); next == code || newPhone(t, r.page, next).join() != "" {
		t.Error("there is no code for the next")
	}
}

// TestPlain: without TLS only when it is asked for.
func TestPlain(t *testing.T) {
	r := newRig(t, false, true)
	if !strings.HasPrefix(r.page, "http://") {
		t.Fatalf("served at %s", r.page)
	}
	if why := newPhone(t, r.page, r.code(roles.Listener)).as("Cyd", "listener"); why != "" {
		t.Error(why)
	}
	if why := newPhone(t, strings.Replace(newRig(t, false, false).page, "https:", "http:", 1), "x").join(); why == "" {
		t.Error("let in without TLS")
	}
}
