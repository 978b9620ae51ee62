package knock

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"
)

// A Post is a drill's notice, and who answers at it.
type Post struct {
	dir    string
	pid    string
	notice []byte
	answer func() ([]byte, error)

	closing chan struct{}
	closed  sync.Once
	done    chan struct{}
}

// Put leaves a notice and answers who knocks until Close. answer is called in a goroutine
// of the post's own: it opens the door, and returns what there is to join with, as JSON.
func Put(n Notice, answer func() ([]byte, error)) (*Post, error) {
	dir, err := open()
	if err != nil {
		return nil, err
	}
	sweep(dir, time.Now())
	n.Version = Version
	b, err := json.Marshal(n)
	if err != nil {
		return nil, err
	}
	p := &Post{dir: dir, pid: fmt.Sprint(n.PID), notice: b, answer: answer, closing: make(chan struct{}), done: make(chan struct{})}
	if err := write(p.path(), b); err != nil {
		return nil, fmt.Errorf("the notice of the drill cannot be written: %w", err)
	}
	go p.stand()
	return p, nil
}

func (p *Post) path() string { return filepath.Join(p.dir, p.pid+noticeEnd) }

// stand looks for knocks, and keeps the notice fresh.
func (p *Post) stand() {
	defer close(p.done)
	look := time.NewTicker(lookEvery)
	defer look.Stop()
	touched := time.Now()
	for {
		select {
		case <-p.closing:
			return
		case now := <-look.C:
			if now.Sub(touched) >= touchEvery {
				touched = now
				p.touch(now)
			}
		}
		p.answerKnocks()
	}
}

// touch says that the drill is there. A notice that is gone is written again: another
// process may have taken this one for dead while the machine slept.
func (p *Post) touch(now time.Time) {
	if err := os.Chtimes(p.path(), now, now); err != nil {
		write(p.path(), p.notice)
	}
}

// answerKnocks answers everybody who has knocked.
func (p *Post) answerKnocks() {
	list, _ := os.ReadDir(p.dir)
	for _, f := range list {
		who, ok := strings.CutSuffix(f.Name(), knockEnd)
		if !ok || !strings.HasPrefix(who, p.pid+".") || !f.Type().IsRegular() {
			continue
		}
		join, err := p.answer()
		a := answer{Join: join}
		if err != nil {
			a = answer{Refused: err.Error()}
		}
		if b, err := json.Marshal(a); err == nil && write(filepath.Join(p.dir, who+doorEnd), b) != nil {
			continue // it knocks until it is answered, or gives up
		}
		os.Remove(filepath.Join(p.dir, f.Name()))
	}
}

// Close takes the notice away. A second call does nothing, and nor does one of a post that
// is not there.
func (p *Post) Close() {
	if p == nil {
		return
	}
	p.closed.Do(func() {
		close(p.closing)
		<-p.done
		list, _ := os.ReadDir(p.dir)
		for _, f := range list {
			if pid, ok := pidOf(f.Name()); ok && pid == p.pid {
				os.Remove(filepath.Join(p.dir, f.Name()))
			}
		}
	})
}
