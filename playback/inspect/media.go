package inspect

import (
	"context"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"

	"drylane/playback/disk"
	"drylane/playback/folder"
	"drylane/show"
	"drylane/show/check"
)

// Media holds the medium at path against what a show needs, or, with the name of
// a player, what that player needs. The medium is only ever opened for reading:
// fs.FS knows nothing else. tell is told which file is compared and how much of it
// is over, 0 to 1.
func Media(ctx context.Context, s *show.Show, files fs.FS, path, player string, tell func(what string, part float64)) (check.Findings, error) {
	medium, err := folder.Medium(path)
	if err != nil {
		return nil, err
	}
	needs, err := mediaNeeds(s, player)
	if err != nil {
		return nil, err
	}
	r := &mediaReader{ctx: ctx, show: s, folder: files, medium: medium, tell: tell}
	m, err := r.read(needs)
	if err != nil {
		return nil, err
	}
	m.Name = filepath.Clean(path)
	return check.Media(m), nil
}

// mediaNeeds lists the files that a show needs in the field, or those of one
// player.
func mediaNeeds(s *show.Show, player string) ([]check.Need, error) {
	var needs []check.Need
	add := func(file, user string) {
		if file == "" {
			return
		}
		i := slices.IndexFunc(needs, func(n check.Need) bool { return n.File == file })
		if i < 0 {
			i = len(needs)
			needs = append(needs, check.Need{File: file})
		}
		needs[i].Users = append(needs[i].Users, user)
	}
	if player == "" {
		add(s.Soundtrack.File, "the soundtrack")
		for _, t := range s.Tracks {
			add(t.File, "a companion track")
		}
	}
	for _, p := range s.Players {
		if player == "" || p.Name == player {
			add(p.File, "player "+p.Name)
		}
	}
	if len(needs) == 0 && player != "" {
		return nil, fmt.Errorf("--player: found no player %q in show.toml; wanted the name of one", player)
	}
	for i, n := range needs {
		if n.File == s.Soundtrack.File {
			needs[i].SHA256 = s.Soundtrack.SHA256
		}
	}
	return needs, nil
}

// A mediaReader looks at a medium.
type mediaReader struct {
	ctx    context.Context
	show   *show.Show
	folder fs.FS
	medium fs.FS
	list   []check.Entry
	tell   func(what string, part float64)
}

// Bounds of what is looked at on a medium.
const (
	maxMediaFiles = 20_000
	maxOthers     = 20 // files of one name or nearly
)

func (r *mediaReader) read(needs []check.Need) (*check.Medium, error) {
	m := &check.Medium{Needs: needs}
	var err error
	if r.list, m.More, err = listMedia(r.medium); err != nil {
		return nil, err
	}
	for i := range needs {
		if err := r.ctx.Err(); err != nil {
			return nil, err
		}
		need := &needs[i]
		r.own(need)
		pick := check.Match(need.File, r.list)
		if pick.Best == nil {
			pick.Best = r.elsewhere(need)
		}
		var best *check.Sight
		if pick.Best != nil {
			s := r.look(need, *pick.Best, func(part float64) { r.tell("comparing "+show.Clean(need.File), part) })
			best = &s
		}
		var others []check.Sight
		for _, c := range pick.Others[:min(len(pick.Others), maxOthers)] {
			others = append(others, check.Sight{Candidate: c, Same: r.same(need, c.Entry)})
		}
		m.Best, m.Others = append(m.Best, best), append(m.Others, others)
	}
	return m, r.ctx.Err()
}

// listMedia lists the files of a medium. more says that not all could be
// looked at.
func listMedia(fsys fs.FS) (list []check.Entry, more bool, err error) {
	err = fs.WalkDir(fsys, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			if path == "." {
				return fmt.Errorf("the medium cannot be read: %w", disk.Plain(err))
			}
			more = true
			return nil
		}
		if !d.Type().IsRegular() {
			return nil
		}
		if len(list) == maxMediaFiles {
			more = true
			return fs.SkipAll
		}
		if info, err := d.Info(); err == nil {
			list = append(list, check.Entry{Path: path, Size: info.Size()})
		}
		return nil
	})
	return list, more, err
}

// own completes a need by what the show folder's own file says.
func (r *mediaReader) own(n *check.Need) {
	info, err := fs.Stat(r.folder, n.File)
	if err != nil || !info.Mode().IsRegular() {
		return
	}
	n.Size = info.Size()
	if sum, err := folder.Hash(r.ctx, r.folder, n.File); err == nil {
		n.SHA256 = sum
	}
	if a := soundFacts(r.folder, n.File); a.Open == "" {
		n.Length, n.Rate = a.Length, a.Rate
	}
}

// elsewhere looks for the very file under another name.
func (r *mediaReader) elsewhere(n *check.Need) *check.Candidate {
	for _, e := range r.list {
		if n.Size > 0 && e.Size == n.Size && r.same(n, e) {
			return &check.Candidate{Entry: e, Why: check.WhyElsewhere}
		}
	}
	return nil
}

// same reports whether a file of the medium is the show's, byte for byte.
func (r *mediaReader) same(n *check.Need, e check.Entry) bool {
	if n.SHA256 == "" || n.Size > 0 && n.Size != e.Size {
		return false
	}
	sum, err := folder.Hash(r.ctx, r.medium, e.Path)
	return err == nil && sum == n.SHA256
}
