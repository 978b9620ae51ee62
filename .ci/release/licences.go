package main

import (
	"bytes"
	"debug/buildinfo"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
)

// legal are the files of a module that say what may be done with it.
var legal = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|patents|unlicense)([.-].*)?$`)

// licencesOf are the licences of all that is linked into a program: of each module, by
// the source from which it was built, and of Go itself.
func licencesOf(program string) ([]byte, error) {
	info, err := buildinfo.ReadFile(program)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	root, err := command(".", nil, "go", "env", "GOROOT")
	if err != nil {
		return nil, err
	}
	if err := licence(&b, "Go "+strings.TrimPrefix(info.GoVersion, "go"), strings.TrimSpace(string(root))); err != nil {
		return nil, err
	}
	for _, m := range info.Deps {
		if m.Replace != nil {
			m = m.Replace
		}
		dir, err := sourceOf(m.Path + "@" + m.Version)
		if err != nil {
			return nil, err
		}
		if err := licence(&b, m.Path+" "+m.Version, dir); err != nil {
			return nil, err
		}
	}
	return b.Bytes(), nil
}

// sourceOf is the folder of a module's source.
func sourceOf(module string) (string, error) {
	out, err := command(".", []string{"GOFLAGS=-mod=mod"}, "go", "mod", "download", "-json", module)
	if err != nil {
		return "", err
	}
	var m struct{ Dir string }
	err = json.Unmarshal(out, &m)
	return m.Dir, err
}

// licence writes the licence files in a folder, or what its README says. What has
// neither cannot be handed out.
func licence(b *bytes.Buffer, name, dir string) error {
	list, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	found := false
	for _, f := range list {
		if !legal.MatchString(f.Name()) || f.IsDir() {
			continue
		}
		text, err := os.ReadFile(filepath.Join(dir, f.Name()))
		if err != nil {
			return err
		}
		found = true
		fmt.Fprintf(b, "%s\n%s: %s\n\n%s\n\n", strings.Repeat("=", 72), name, f.Name(), bytes.TrimSpace(text))
	}
	if found {
		return nil
	}
	text, err := os.ReadFile(filepath.Join(dir, "README.md"))
	section := named.Find(text)
	if err != nil || section == nil {
		return fmt.Errorf("%s: found no licence in its source; wanted one to hand out", name)
	}
	fmt.Fprintf(b, "%s\n%s: from its README.md\n\n%s\n\n", strings.Repeat("=", 72), name, bytes.TrimSpace(section))
	return nil
}

// named is what a README says of the licence, up to the next heading.
var named = regexp.MustCompile(`(?im)^#+ *licen[cs]e\b[^#]*`)
