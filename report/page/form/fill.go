package form

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"arctally/analyze/procedure"
)

// The readable beginning of a text that is no YAML is looked for in a text of so
// many bytes, so many times.
const (
	longestSalvage = 64 << 10
	mostSalvage    = 100
)

// Fill returns the values that stand in a text by key, and everything that is
// wrong with it. Of a broken text it returns what can be read. Neither is nil.
func Fill(kind Kind, text []byte) (map[string]string, []Problem) {
	problems := check(kind, text)
	t, err := read(text)
	if err == nil {
		return t.texts(), problems
	}
	return salvage(text, problems), problems
}

// salvage reads a broken text up to where it breaks.
func salvage(text []byte, problems []Problem) map[string]string {
	lines := bytes.SplitAfter(text, []byte("\n"))
	end := len(lines)
	for _, p := range problems {
		end = min(end, max(p.Line-1, 0))
	}
	for last := end - mostSalvage; end > max(last, 0) && len(text) <= longestSalvage; end-- {
		if t, err := read(bytes.Join(lines[:end], nil)); err == nil {
			return t.texts()
		}
	}
	return map[string]string{}
}

// Sentence is the problem with its place, as the terminal says it.
func (p Problem) Sentence(file string) string {
	if p.Line == 0 {
		return file + ": " + p.Reason
	}
	return fmt.Sprintf("%s.yaml:%d:%d: %s", file, p.Line, p.Column, p.Reason)
}

// check has the strict parser read a text, and finds the field of each error.
func check(kind Kind, text []byte) []Problem {
	problems := []Problem{}
	var wrong procedure.Errors
	if !errors.As(parse(kind, text), &wrong) {
		return problems
	}
	t, err := read(text)
	form := Of(kind)
	for _, e := range wrong {
		p := Problem{Line: e.Line, Column: e.Column, Reason: e.Reason}
		if err == nil {
			p.Field = form.narrow(t.keyOf(e))
		}
		problems = append(problems, p)
	}
	return problems
}

func parse(kind Kind, text []byte) (err error) {
	if kind == Job {
		_, err = procedure.ParseJob("", text)
	} else {
		_, err = procedure.ParseProcedure("", text)
	}
	return err
}

// missing ends what the parser says of a key that is not there. It points to the
// part that should have it.
const missing = " is missing"

// keyOf returns the key that an error is about; empty where that cannot be told.
func (t *tree) keyOf(e *procedure.Error) string {
	at := place{e.Line, e.Column}
	if name, ok := strings.CutSuffix(e.Reason, missing); ok {
		part, known := t.parts[at]
		if !known {
			part = t.leaves[at]
		}
		return join(part, name[strings.LastIndex(name, ".")+1:])
	}
	if key, ok := t.leaves[at]; ok {
		return key
	}
	return t.parts[at]
}

// narrow returns the field to show an error at: where it is about a part, the
// first field of it.
func (f Form) narrow(key string) string {
	if _, ok := f.fieldOf(key); ok || key == "" {
		return key
	}
	for _, group := range f.Groups {
		for _, field := range group.Fields {
			full := field.Key
			switch within := group.Repeated + "."; {
			case group.Repeated == "":
			case strings.HasPrefix(key+".", within):
				full = join(key, field.Key)
				if key == group.Repeated {
					full = join(join(key, "0"), field.Key)
				}
			default:
				continue
			}
			if strings.HasPrefix(full, key+".") {
				return full
			}
		}
	}
	return key
}
