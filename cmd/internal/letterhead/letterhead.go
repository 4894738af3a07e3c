// Package letterhead reads whose paper a weld record is printed on: a small YAML file that
// names a picture beside it and has the lines of an address.
//
// Terms. A letterhead file has two keys, both may be left out but not both of them:
//
//	logo: our-logo.png
//	lines: [Bore repair shop 1, 12 Harbour Road, 1000 Town]
//
// Errors: what cannot be taken as it stands names the file, the line where there is one, and
// what would do.
package letterhead

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"

	"arctally/cmd/internal/explain"
	"arctally/report/paper"
	"arctally/report/paper/layout"
)

// Name is the file that stands beside the jobs of a folder that is served.
const Name = "letterhead.yaml"

// What a letterhead may hold; it shares a sheet with a certificate. Ours, no source.
const (
	largest     = 16 << 10 // bytes of the file
	mostLines   = 5
	longestLine = 80 // letters
)

// Read reads a letterhead file of a folder, with the picture that lies beside it.
func Read(folder fs.FS, name string) (*paper.Letterhead, error) {
	text, err := read(folder, name, largest)
	if err != nil {
		return nil, err
	}
	logo, lines, err := parse(name, text)
	if err != nil {
		return nil, err
	}
	head := &paper.Letterhead{Lines: lines}
	if logo == "" {
		return head, nil
	}
	picture := path.Join(path.Dir(name), logo)
	content, err := read(folder, picture, layout.LargestLogo)
	if err != nil {
		return nil, err
	}
	if head.Logo, err = layout.NewLogo(content); err != nil {
		return nil, unfit("%s: %w", picture, err)
	}
	return head, nil
}

// ReadBeside is Read where no such file is no letterhead.
func ReadBeside(folder fs.FS) (*paper.Letterhead, error) {
	if _, err := fs.Stat(folder, Name); errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return Read(folder, Name)
}

// read reads a file that must not be larger than it may be.
func read(folder fs.FS, name string, most int64) (content []byte, err error) {
	f, err := folder.Open(name)
	if err != nil {
		return nil, &explain.Error{Kind: explain.Unfit, Text: "letterhead " + name + ": cannot be opened: " + reason(err), Next: shape, Cause: err}
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	content, err = io.ReadAll(io.LimitReader(f, most+1))
	if err == nil && int64(len(content)) > most {
		return nil, unfit("%s: larger than %d bytes", name, most)
	}
	return content, err
}

// reason is an error without the name of the file, which stands before it.
func reason(err error) string {
	if wrong := (*fs.PathError)(nil); errors.As(err, &wrong) {
		return wrong.Err.Error()
	}
	return err.Error()
}

// shape is how the file is written.
const shape = "a letterhead file has logo: PICTURE.png and lines: [a line, another line], or one of the two"

func unfit(format string, arg ...any) error {
	err := fmt.Errorf("letterhead "+format, arg...)
	return &explain.Error{Kind: explain.Unfit, Text: err.Error(), Next: shape, Cause: err}
}

// parse reads the YAML of a letterhead.
func parse(name string, text []byte) (logo string, lines []string, err error) {
	decoder := yaml.NewDecoder(bytes.NewReader(text))
	document, err := next(decoder)
	if err != nil || len(document.Content) != 1 || document.Content[0].Kind != yaml.MappingNode {
		return "", nil, unfit("%s: not key: value pairs", name)
	}
	if _, err := next(decoder); !errors.Is(err, io.EOF) {
		return "", nil, unfit("%s: a second document", name)
	}
	pairs, seen := document.Content[0].Content, map[string]bool{}
	for k := 0; k+1 < len(pairs); k += 2 {
		key, value := pairs[k], pairs[k+1]
		if seen[key.Value] {
			return "", nil, unfit("%s:%d: %s is written twice", name, key.Line, key.Value)
		}
		seen[key.Value] = true
		switch key.Value {
		case "logo":
			logo, err = line(name, value)
			if err == nil && !fs.ValidPath(logo) {
				err = unfit("%s:%d: %s does not lie beside this file", name, value.Line, logo)
			}
		case "lines":
			lines, err = address(name, value)
		default:
			err = unfit("%s:%d: no key %q", name, key.Line, key.Value)
		}
		if err != nil {
			return "", nil, err
		}
	}
	if logo == "" && len(lines) == 0 {
		return "", nil, unfit("%s: has neither logo nor lines", name)
	}
	return logo, lines, nil
}

// next decodes one document; the YAML library panics on a few broken texts.
func next(decoder *yaml.Decoder) (document yaml.Node, err error) {
	defer func() {
		if problem := recover(); problem != nil {
			err = fmt.Errorf("yaml: %v", problem)
		}
	}()
	err = decoder.Decode(&document)
	return document, err
}

func address(name string, n *yaml.Node) (lines []string, err error) {
	if n.Kind != yaml.SequenceNode || len(n.Content) == 0 || len(n.Content) > mostLines {
		return nil, unfit("%s:%d: lines must be a list of 1 to %d lines", name, n.Line, mostLines)
	}
	for _, one := range n.Content {
		text, err := line(name, one)
		if err != nil {
			return nil, err
		}
		lines = append(lines, text)
	}
	return lines, nil
}

// line is a value of one line of text.
func line(name string, n *yaml.Node) (string, error) {
	text := strings.TrimSpace(n.Value)
	switch {
	case n.Kind != yaml.ScalarNode || text == "" || strings.ContainsFunc(text, unicode.IsControl):
		return "", unfit("%s:%d: must be one line of text", name, n.Line)
	case utf8.RuneCountInString(text) > longestLine:
		return "", unfit("%s:%d: has %d letters; %d are the most", name, n.Line, utf8.RuneCountInString(text), longestLine)
	}
	return text, nil
}
