package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// topLevel is all that stands at the top of the tree; what .gitignore names is not looked at.
var topLevel = []string{
	".ci", ".git", ".gitignore", "DEVELOPERS.md", "LICENSE", "Makefile", "README.md",
	"acquire", "analyze", "bin", "cmd", "go.mod", "go.sum", "report", "testdata",
}

// othersFolder holds what npm fetched: none of it is ours, and git does not keep it.
const othersFolder = "node_modules"

// leaves are the rooms of acquire that everybody may import, for they hold only
// types; what lies below them helps tests, and only tests may import it.
var leaves = []string{"acquire/foreign", "acquire/quantity", "acquire/series", "acquire/calib"}

// impure is what a pure computation has no use for; a path stands for all below it.
var impure = []string{"os", "net", "log", "syscall", "io/ioutil"}

// clocks are the names of package time that read a clock or wait for one.
var clocks = []string{"Now", "Since", "Until", "After", "AfterFunc", "Tick", "Sleep", "NewTimer", "NewTicker"}

const (
	serialLibrary   = "go.bug.st/serial"
	maxFileLines    = 500
	maxFunctionSize = 80
)

// sourceFile is one Go file and the room it lies in.
type sourceFile struct {
	path, room string
	test       bool
	files      *token.FileSet
	syntax     *ast.File
	lines      int
}

// inspectHouse returns one line for each rule of the house that a file of the
// tree breaks, and the number of Go files that it looked at.
func inspectHouse(tree fs.FS) (complaints []string, looked int, err error) {
	entries, err := fs.ReadDir(tree, ".")
	if err != nil {
		return nil, 0, err
	}
	for _, entry := range entries {
		if !slices.Contains(topLevel, entry.Name()) {
			complaints = append(complaints, entry.Name()+": does not belong at the top of the tree")
		}
	}
	err = fs.WalkDir(tree, ".", func(name string, entry fs.DirEntry, err error) error {
		if err == nil && entry.IsDir() && entry.Name() == othersFolder {
			return fs.SkipDir
		}
		if err != nil || entry.IsDir() || path.Ext(name) != ".go" {
			return err
		}
		file, err := parseSource(token.NewFileSet(), tree, name)
		if err != nil {
			return err
		}
		looked++
		complaints = append(complaints, file.inspect()...)
		return nil
	})
	return complaints, looked, err
}

func parseSource(files *token.FileSet, tree fs.FS, name string) (*sourceFile, error) {
	text, err := fs.ReadFile(tree, name)
	if err != nil {
		return nil, err
	}
	syntax, err := parser.ParseFile(files, name, text, parser.SkipObjectResolution)
	if err != nil {
		return nil, err
	}
	return &sourceFile{
		path: name, room: path.Dir(name), test: strings.HasSuffix(name, "_test.go"),
		files: files, syntax: syntax, lines: strings.Count(string(text), "\n"),
	}, nil
}

func (f *sourceFile) inspect() []string {
	complaints := append(f.inspectArrows(), f.inspectSize()...)
	if within(f.room, "analyze") && !f.test {
		complaints = append(complaints, f.inspectPurity()...)
	}
	return complaints
}

// imports returns each imported path with the name it has in the file.
func (f *sourceFile) imports() map[string]string {
	names := make(map[string]string)
	for _, spec := range f.syntax.Imports {
		imported, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			panic("cmd/arctally: the parser let through the import " + spec.Path.Value)
		}
		names[imported] = path.Base(imported)
		if spec.Name != nil {
			names[imported] = spec.Name.Name
		}
	}
	return names
}

func (f *sourceFile) inspectArrows() (complaints []string) {
	for imported := range f.imports() {
		room, ours := strings.CutPrefix(imported, "arctally/")
		switch {
		case ours && !f.mayImport(room):
			complaints = append(complaints, fmt.Sprintf("%s: %s must not import %s", f.path, f.room, room))
		case within(imported, serialLibrary) && f.room != "acquire/port":
			complaints = append(complaints, fmt.Sprintf("%s: only acquire/port may import %s", f.path, imported))
		}
	}
	return complaints
}

// mayImport says which way the arrows run.
func (f *sourceFile) mayImport(room string) bool {
	leaf := slices.Contains(leaves, room) || f.test && belowLeaf(room)
	switch {
	case belowLeaf(f.room):
		return leaf
	case within(f.room, "acquire"):
		return within(room, "acquire") && (f.test || leaf || !belowLeaf(room))
	case within(f.room, "analyze"):
		return leaf || within(room, "analyze")
	case within(f.room, "report"):
		return leaf || within(room, "analyze") || within(room, "report")
	default:
		return within(f.room, "cmd")
	}
}

func belowLeaf(room string) bool {
	return slices.ContainsFunc(leaves, func(leaf string) bool { return within(room, leaf) })
}

func (f *sourceFile) inspectPurity() (complaints []string) {
	imports := f.imports()
	for imported, name := range imports {
		banned := slices.ContainsFunc(impure, func(parent string) bool { return within(imported, parent) })
		if banned || imported == "time" && name == "." {
			complaints = append(complaints, fmt.Sprintf("%s: analyze must not import %s", f.path, imported))
		}
	}
	ast.Inspect(f.syntax, func(node ast.Node) bool {
		switch node := node.(type) {
		case *ast.GoStmt:
			complaints = append(complaints, fmt.Sprintf("%s: analyze must not start a goroutine", f.position(node)))
		case *ast.SelectorExpr:
			name, ok := node.X.(*ast.Ident)
			if ok && name.Name == imports["time"] && slices.Contains(clocks, node.Sel.Name) {
				complaints = append(complaints, fmt.Sprintf("%s: analyze must be handed the time, not ask time.%s", f.position(node), node.Sel.Name))
			}
		}
		return true
	})
	return complaints
}

func (f *sourceFile) inspectSize() (complaints []string) {
	if f.lines > maxFileLines {
		complaints = append(complaints, fmt.Sprintf("%s: %d lines, more than %d", f.path, f.lines, maxFileLines))
	}
	for _, declaration := range f.syntax.Decls {
		function, ok := declaration.(*ast.FuncDecl)
		if !ok {
			continue
		}
		lines := f.files.Position(function.End()).Line - f.files.Position(function.Pos()).Line + 1
		if lines > maxFunctionSize {
			complaints = append(complaints, fmt.Sprintf("%s: %s has %d lines, more than %d", f.path, function.Name.Name, lines, maxFunctionSize))
		}
	}
	return complaints
}

func (f *sourceFile) position(node ast.Node) string {
	return fmt.Sprintf("%s:%d", f.path, f.files.Position(node.Pos()).Line)
}

// within reports whether name is parent or lies below it.
func within(name, parent string) bool {
	return name == parent || strings.HasPrefix(name, parent+"/")
}

func TestHouse(t *testing.T) {
	complaints, looked, err := inspectHouse(os.DirFS("../.."))
	require.NoError(t, err)
	require.Greater(t, looked, 50, "the test no longer looks at the tree")
	assert.Empty(t, complaints)
}

// TestHouse_Bad shows that each rule of the house can fail.
func TestHouse_Bad(t *testing.T) {
	long := func(lines int) string {
		return "package x\n\nfunc f() {\n" + strings.Repeat("\t_ = 0\n", lines) + "}\n"
	}
	for _, test := range []struct{ id, file, text, want string }{
		{"acquire-imports-analyze", "acquire/port/a.go", "package x\nimport _ \"arctally/analyze/pass\"\n", "must not import analyze/pass"},
		{"acquire-imports-report", "acquire/a.go", "package x\nimport _ \"arctally/report/sheet\"\n", "must not import report/sheet"},
		{"leaf-imports-port", "acquire/series/a.go", "package x\nimport _ \"arctally/acquire/port\"\n", "must not import acquire/port"},
		{"analyze-imports-test-helper", "analyze/a.go", "package x\nimport _ \"arctally/acquire/quantity/quantitytest\"\n", "must not import acquire/quantity/quantitytest"},
		{"analyze-imports-record", "analyze/a.go", "package x\nimport _ \"arctally/acquire/record\"\n", "must not import acquire/record"},
		{"analyze-imports-report", "analyze/a_test.go", "package x\nimport _ \"arctally/report/sheet\"\n", "must not import report/sheet"},
		{"report-imports-port", "report/page/a.go", "package x\nimport _ \"arctally/acquire/port\"\n", "must not import acquire/port"},
		{"anyone-imports-cmd", "report/a.go", "package x\nimport _ \"arctally/cmd/arctally\"\n", "must not import cmd/arctally"},
		{"serial-outside-port", "acquire/a.go", "package x\nimport _ \"go.bug.st/serial\"\n", "only acquire/port may import go.bug.st/serial"},
		{"serial-enumerator", "cmd/arctally/a.go", "package x\nimport _ \"go.bug.st/serial/enumerator\"\n", "only acquire/port may import go.bug.st/serial/enumerator"},
		{"analyze-os", "analyze/heat/a.go", "package x\nimport _ \"os\"\n", "analyze must not import os"},
		{"analyze-net", "analyze/heat/a.go", "package x\nimport _ \"net/http\"\n", "analyze must not import net/http"},
		{"analyze-log", "analyze/heat/a.go", "package x\nimport _ \"log\"\n", "analyze must not import log"},
		{"analyze-slog", "analyze/heat/a.go", "package x\nimport _ \"log/slog\"\n", "analyze must not import log/slog"},
		{"analyze-now", "analyze/a.go", "package x\nimport \"time\"\nvar a = time.Now()\n", "a.go:3: analyze must be handed the time"},
		{"analyze-now-renamed", "analyze/a.go", "package x\nimport clock \"time\"\nvar a = clock.Now\n", "a.go:3: analyze must be handed the time"},
		{"analyze-dot-time", "analyze/a.go", "package x\nimport . \"time\"\nvar a = Now()\n", "analyze must not import time"},
		{"analyze-goroutine", "analyze/a.go", "package x\nfunc f() { go f() }\n", "a.go:2: analyze must not start a goroutine"},
		{"top-level", "pkg/a.go", "package x\n", "pkg: does not belong at the top"},
		{"long-file", "cmd/a.go", "package x\n" + strings.Repeat("\n", maxFileLines), "501 lines, more than 500"},
		{"long-function", "cmd/a.go", long(maxFunctionSize - 1), "f has 81 lines, more than 80"},
	} {
		t.Run(test.id, func(t *testing.T) {
			complaints, looked, err := inspectHouse(fstest.MapFS{test.file: {Data: []byte(test.text)}})
			require.NoError(t, err)
			require.Equal(t, 1, looked)
			require.Len(t, complaints, 1)
			assert.Contains(t, complaints[0], test.want)
		})
	}
}

// TestHouse_Good shows that what the design allows is let through.
func TestHouse_Good(t *testing.T) {
	good := fstest.MapFS{
		"report/page/node_modules/other/a.go": {Data: []byte("package x\nimport _ \"go.bug.st/serial\"\n")},
		"go.mod":                              {Data: []byte("module arctally\n")},
		"cmd/arctally/a.go":                   {Data: []byte("package x\nimport _ \"arctally/acquire/port\"\nimport _ \"arctally/report/sheet\"\n")},
		"report/sheet/a.go":                   {Data: []byte("package x\nimport _ \"arctally/analyze\"\nimport _ \"os\"\n")},
		"analyze/a.go":                        {Data: []byte("package x\nimport \"time\"\nimport _ \"arctally/acquire/calib\"\nvar a time.Time\n")},
		"analyze/a_test.go":                   {Data: []byte("package x\nimport _ \"os\"\nimport _ \"arctally/acquire/quantity/quantitytest\"\nfunc f() { go f() }\n")},
		"acquire/port/a.go":                   {Data: []byte("package x\nimport _ \"go.bug.st/serial\"\nimport _ \"arctally/acquire/series\"\n")},
		"acquire/port/time.go":                {Data: []byte("package x\nimport \"time\"\nvar a = time.Now()\nfunc f() { go f() }\n")},
		"acquire/record/fine.go":              {Data: []byte("package x\n" + strings.Repeat("\n", maxFileLines-1))},
	}
	complaints, looked, err := inspectHouse(good)
	require.NoError(t, err)
	assert.Equal(t, 7, looked)
	assert.Empty(t, complaints)
}
