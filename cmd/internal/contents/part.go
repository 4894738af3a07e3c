package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/google/licensecheck"
)

// part is something that others made, and that is in the program.
type part struct {
	name, version string
	url           string // package URL, by which lists of weaknesses know it
	sum           string // as go.sum or package-lock.json has it
	folder        string // where its sources are
	licences      []string
	texts         []licenceText
}

// licenceText is one file that says under which terms a part may be passed on.
type licenceText struct {
	file string
	text []byte
}

// modules are those that the Go tools say they put into the program, and what they put into
// every program.
func modules(info *debug.BuildInfo) ([]part, error) {
	root, err := asked("env", "GOROOT")
	if err != nil {
		return nil, err
	}
	release := strings.TrimPrefix(info.GoVersion, "go")
	parts := []part{{name: "std", version: release, url: "pkg:golang/std@" + release, folder: strings.TrimSpace(string(root))}}
	for _, m := range info.Deps {
		if m.Replace != nil {
			m = m.Replace
		}
		text, err := asked("list", "-m", "-json", m.Path+"@"+m.Version)
		if err != nil {
			return nil, err
		}
		var known struct{ Dir string }
		if err := json.Unmarshal(text, &known); err != nil {
			return nil, fmt.Errorf("go list -m %s: %w", m.Path, err)
		}
		parts = append(parts, part{name: m.Path, version: m.Version, url: "pkg:golang/" + m.Path + "@" + m.Version, sum: m.Sum, folder: known.Dir})
	}
	return parts, nil
}

// asked is what the Go tools answer.
func asked(args ...string) ([]byte, error) {
	var said bytes.Buffer
	command := exec.Command("go", args...)
	command.Stderr = &said
	answer, err := command.Output()
	if err != nil {
		return nil, fmt.Errorf("go %s: %w: %s", strings.Join(args, " "), err, said.String())
	}
	return answer, nil
}

// imported is what a source of the pages takes from a package, by the name of the package.
var imported = regexp.MustCompile(`(?m)^\s*(?:import|export)\s+(?:[\w$*{},\s]+\s+from\s+)?["']((?:@[^/"']+/)?[^./"'@][^/"']*)[^"']*["']`)

// bundled are the packages that the sources of the pages import, and what those need.
func bundled(pages string) ([]part, error) {
	text, err := os.ReadFile(filepath.Join(pages, "package-lock.json"))
	if err != nil {
		return nil, err
	}
	var lock lockFile
	if err := json.Unmarshal(text, &lock); err != nil {
		return nil, fmt.Errorf("package-lock.json: %w", err)
	}
	names := map[string]bool{}
	err = filepath.WalkDir(filepath.Join(pages, "web"), func(file string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || !strings.HasSuffix(file, ".ts") || strings.HasSuffix(file, ".d.ts") {
			return err
		}
		source, err := os.ReadFile(file)
		for _, found := range imported.FindAllSubmatch(source, -1) {
			names[string(found[1])] = true
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	return lock.parts(pages, names)
}

// lockFile is what package-lock.json says, of which this much is read.
type lockFile struct {
	Packages map[string]struct {
		Version      string            `json:"version"`
		Integrity    string            `json:"integrity"`
		Dependencies map[string]string `json:"dependencies"`
	} `json:"packages"`
}

// need adds a package, and all that it needs itself.
func (l *lockFile) need(name string, all map[string]bool) {
	if all[name] {
		return
	}
	all[name] = true
	for other := range l.Packages["node_modules/"+name].Dependencies {
		l.need(other, all)
	}
}

// parts are the packages of these names and all that they need.
func (l *lockFile) parts(pages string, names map[string]bool) (parts []part, err error) {
	all := map[string]bool{}
	for name := range names {
		l.need(name, all)
	}
	for name := range all {
		p, locked := l.Packages["node_modules/"+name]
		if !locked {
			return nil, fmt.Errorf("the pages import %s, which package-lock.json does not know", name)
		}
		parts = append(parts, part{
			name: name, version: p.Version, url: "pkg:npm/" + strings.Replace(name, "@", "%40", 1) + "@" + p.Version,
			sum: p.Integrity, folder: filepath.Join(pages, "node_modules", name),
		})
	}
	slices.SortFunc(parts, func(a, b part) int { return strings.Compare(a.name, b.name) })
	return parts, nil
}

// licenceNames are what a file is called that says under which terms something may be
// passed on, in any case of letters.
var licenceNames = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|patents|copyright)`)

// sure is how much of a text must be words of licences that are known, in hundredths, for
// their names to be said. Ours, no source.
const sure = 75

// read finds the licences of a part. One that has none that is known is an error: nobody
// may pass it on before a person has looked.
func (p *part) read() error {
	entries, err := os.ReadDir(p.folder)
	if err != nil {
		return fmt.Errorf("the sources of %s: %w", p.name, err)
	}
	for _, entry := range entries {
		if entry.IsDir() || !licenceNames.MatchString(entry.Name()) || strings.HasSuffix(entry.Name(), ".go") {
			continue
		}
		text, err := os.ReadFile(filepath.Join(p.folder, entry.Name()))
		if err != nil {
			return err
		}
		p.texts = append(p.texts, licenceText{entry.Name(), text})
		if found := licensecheck.Scan(text); found.Percent >= sure {
			for _, match := range found.Match {
				p.licences = append(p.licences, match.ID)
			}
		}
	}
	slices.Sort(p.licences)
	p.licences = slices.Compact(p.licences)
	if len(p.licences) == 0 {
		return fmt.Errorf("no licence of %s %s is known: look at %s", p.name, p.version, p.folder)
	}
	return nil
}
