package reftest

import (
	"bufio"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"
)

// A Browser is a Chromium without a window, driven over a pipe by its own protocol
// (DevTools).
type Browser struct {
	in io.Writer

	mu    sync.Mutex
	n     int
	waits map[int]chan reply
	said  map[string][]string // what was thrown or logged, by the tab's session
}

type reply struct {
	Result json.RawMessage
	Err    error
}

// OpenBrowser starts a Chromium, which ends with the test. It takes any certificate.
func OpenBrowser(t testing.TB) *Browser {
	t.Helper()
	program := Tool(t, "chromium")
	toRead, in, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	out, toWrite, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(program, "--headless", "--no-sandbox", "--disable-gpu", "--user-data-dir="+filepath.Join(t.TempDir(), "profile"),
		"--ignore-certificate-errors", "--no-first-run", "--disable-background-networking", "--hide-scrollbars", "--remote-debugging-pipe", "about:blank")
	cmd.ExtraFiles = []*os.File{toRead, toWrite}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	toRead.Close()
	toWrite.Close()
	b := &Browser{in: in, waits: map[int]chan reply{}, said: map[string][]string{}}
	go b.listen(out)
	t.Cleanup(func() {
		in.Close() // at which it leaves
		if err := waitFor(cmd, 5*time.Second); err != nil {
			cmd.Process.Kill()
			cmd.Wait()
		}
		out.Close()
	})
	return b
}

// waitFor waits for a command to end.
func waitFor(cmd *exec.Cmd, within time.Duration) error {
	done := make(chan struct{})
	go func() {
		cmd.Process.Wait()
		close(done)
	}()
	select {
	case <-done:
		return nil
	case <-time.After(within):
		return errors.New("it goes on")
	}
}

// listen takes what the browser says.
func (b *Browser) listen(out io.Reader) {
	r := bufio.NewReader(out)
	for {
		data, err := r.ReadBytes(0)
		if err != nil {
			return
		}
		var m struct {
			ID     int
			Result json.RawMessage
			Error  *struct{ Message string }
			Method string
			Params json.RawMessage

			SessionID string
		}
		if json.Unmarshal(data[:len(data)-1], &m) != nil {
			continue
		}
		b.mu.Lock()
		wait := b.waits[m.ID]
		delete(b.waits, m.ID)
		if m.Method == "Runtime.exceptionThrown" || m.Method == "Log.entryAdded" {
			b.said[m.SessionID] = append(b.said[m.SessionID], string(m.Params))
		}
		b.mu.Unlock()
		if wait == nil {
			continue
		}
		r := reply{Result: m.Result}
		if m.Error != nil {
			r.Err = errors.New(m.Error.Message)
		}
		wait <- r
	}
}

// call calls a method of the protocol; result may be nil.
func (b *Browser) call(t testing.TB, session, method string, params, result any) {
	t.Helper()
	b.mu.Lock()
	b.n++
	wait := make(chan reply, 1)
	b.waits[b.n] = wait
	data, err := json.Marshal(map[string]any{"id": b.n, "sessionId": session, "method": method, "params": params})
	if session == "" {
		data, err = json.Marshal(map[string]any{"id": b.n, "method": method, "params": params})
	}
	if err == nil {
		_, err = b.in.Write(append(data, 0))
	}
	b.mu.Unlock()
	if err != nil {
		t.Fatal(err)
	}
	select {
	case r := <-wait:
		if r.Err != nil {
			t.Fatalf("%s: %v", method, r.Err)
		}
		if result != nil {
			if err := json.Unmarshal(r.Result, result); err != nil {
				t.Fatalf("%s: %v", method, err)
			}
		}
	case <-time.After(Patience):
		t.Fatalf("%s: the browser does not answer", method)
	}
}

// A Tab is a page in a browser, as a telephone shows it that shares nothing with others.
type Tab struct {
	b       *Browser
	t       testing.TB
	session string
}

// Open opens a page in a window of so many CSS pixels.
func (b *Browser) Open(t testing.TB, url string, width, height int) *Tab {
	t.Helper()
	var context struct{ BrowserContextID string }
	b.call(t, "", "Target.createBrowserContext", map[string]any{}, &context)
	var target struct{ TargetID string }
	b.call(t, "", "Target.createTarget", map[string]any{"url": "about:blank", "browserContextId": context.BrowserContextID}, &target)
	var session struct{ SessionID string }
	b.call(t, "", "Target.attachToTarget", map[string]any{"targetId": target.TargetID, "flatten": true}, &session)
	tab := &Tab{b, t, session.SessionID}
	for _, domain := range []string{"Page.enable", "Runtime.enable", "Log.enable", "Network.enable"} {
		tab.Call(domain, map[string]any{})
	}
	tab.Turn(width, height)
	tab.Call("Emulation.setTouchEmulationEnabled", map[string]any{"enabled": true})
	tab.Call("Page.navigate", map[string]any{"url": url})
	return tab
}

// Turn gives its window another size.
func (t *Tab) Turn(width, height int) {
	t.Call("Emulation.setDeviceMetricsOverride", map[string]any{"width": width, "height": height, "deviceScaleFactor": 1, "mobile": true})
}

// Call calls a method of the protocol for this tab.
func (t *Tab) Call(method string, params any) {
	t.t.Helper()
	t.b.call(t.t, t.session, method, params, nil)
}

// Eval runs JavaScript in the page and reads what comes of it into v, which may be nil.
func (t *Tab) Eval(js string, v any) {
	t.t.Helper()
	var r struct {
		Result           struct{ Value json.RawMessage }
		ExceptionDetails *struct {
			Text      string
			Exception struct{ Description string }
		}
	}
	t.b.call(t.t, t.session, "Runtime.evaluate", map[string]any{"expression": js, "returnByValue": true, "awaitPromise": true}, &r)
	if e := r.ExceptionDetails; e != nil {
		t.t.Fatalf("%s: %s %s", js, e.Text, e.Exception.Description)
	}
	if v != nil {
		if err := json.Unmarshal(r.Result.Value, v); err != nil {
			t.t.Fatalf("%s: %v", js, err)
		}
	}
}

// Await waits until JavaScript in the page is true.
func (t *Tab) Await(js string) {
	t.t.Helper()
	for limit := time.Now().Add(Patience); ; time.Sleep(20 * time.Millisecond) {
		var yes bool
		t.Eval("(() => { try { return Boolean("+js+"); } catch (e) { return false; } })()", &yes) // it may not be there yet
		if yes {
			return
		}
		if time.Now().After(limit) {
			var text string
			t.Eval("document.body.innerText", &text)
			t.t.Fatalf("never came: %s; the page says %q, and on the console: %v", js, text, t.Said())
		}
	}
}

// Tap touches the middle of an element, which is first scrolled to, once it lies still and
// nothing lies over it.
func (t *Tab) Tap(selector string) {
	t.t.Helper()
	t.Await(fmt.Sprintf(`(() => {
		const e = document.querySelector(%q), was = window.tapped;
		e.scrollIntoView({ block: "center" });
		const r = e.getBoundingClientRect();
		window.tapped = { X: r.x + r.width / 2, Y: r.y + r.height / 2 };
		return was && was.X === tapped.X && was.Y === tapped.Y && e.contains(document.elementFromPoint(was.X, was.Y));
	})()`, selector))
	var at struct{ X, Y float64 }
	t.Eval(`(() => { const at = tapped; window.tapped = null; return at; })()`, &at)
	t.Call("Input.dispatchTouchEvent", map[string]any{"type": "touchStart", "touchPoints": []any{map[string]any{"x": at.X, "y": at.Y}}})
	t.Call("Input.dispatchTouchEvent", map[string]any{"type": "touchEnd", "touchPoints": []any{}})
}

// Said returns what was thrown or logged in it so far.
func (t *Tab) Said() []string {
	t.b.mu.Lock()
	defer t.b.mu.Unlock()
	return t.b.said[t.session]
}

// Picture writes what is in its window to a PNG file.
func (t *Tab) Picture(path string) {
	t.t.Helper()
	var shot struct{ Data string }
	t.b.call(t.t, t.session, "Page.captureScreenshot", map[string]any{"format": "png"}, &shot)
	data, err := base64.StdEncoding.DecodeString(shot.Data)
	if err == nil {
		err = os.WriteFile(path, data, 0o600)
	}
	if err != nil {
		t.t.Fatal(err)
	}
}
