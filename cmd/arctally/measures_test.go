package main

import (
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"io/fs"
	"os"
	"path"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The measures of the house: what stands above one of them is too much to hold in
// the head, unless a line of reasons says why it is one thing all the same. They
// are a mirror and no fence: what stands out is shown, and fails nothing.
const (
	mostFiles   = 25 // of a room, tests aside
	mostMethods = 40 // of a type
	mostFields  = 20 // of a type that acts
	mostCommand = 150
	mostBackUp  = 20 // one in so many arrows between the files of a room; one alone is no habit
)

// reasons say why something may stand out. One whose cause is gone fails.
var reasons = map[string]string{
	"arrows back up acquire":               "a recorder in three files: what it takes, its account, and the call that runs it",
	"fields acquire.recorder":              "one for each thing that may be missing; the account is asked at every frame and is no type of its own",
	"arrows back up acquire/capture":       "a guess about a file is made, said and used in three files; a type for it is owed",
	"fields acquire/capture.measure":       "it measures all that is guessed of a capture in one reading of the file",
	"fields acquire/capture.stream":        "it has the buffers of the block that is being filled",
	"arrows back up acquire/link":          "the binary decoder is parted by kind of frame",
	"arrows back up acquire/quantity":      "a range is parsed by the parser that knows ranges",
	"files acquire/record":                 "one for each thing that a record holds, and one more",
	"arrows back up acquire/record":        "a writer and its groups, a reader and its groups, each in two files",
	"fields acquire/record.Writer":         "two goroutines share it: what each of them owns, and what the lock guards",
	"arrows back up acquire/sensorbox":     "faults are placed by the plan that they are part of",
	"fields acquire/sensorbox.arc":         "the state of a model of an arc, a number each",
	"fields acquire/sensorbox.run":         "the state of a repair that is laid, a number each",
	"arrows back up analyze":               "Run in four files: what it takes, and in which order it hands it on",
	"arrows back up analyze/arc":           "an event of the arc has a bucket, and a bucket what the detector heard of the waveform",
	"arrows back up analyze/arcsim":        "an arc and the laws of its modes are defined by one another",
	"arrows back up analyze/compare":       "a comparison, its profiles and its departures are defined by one another",
	"files analyze/finding":                "one for each judge, and those with what they share",
	"arrows back up analyze/finding":       "a row of the rules names how it is judged, and the judges read their rows",
	"arrows back up analyze/now":           "a gauge is defined beside what shows it",
	"arrows back up analyze/pass":          "the splitter in files by pattern: ring, stroke, ending, course",
	"arrows back up analyze/rotation":      "the rhythm, what it hears, and the account of it",
	"arrows back up analyze/waveform":      "what some arc time sums up is made of what each mode sums up",
	"fields analyze/waveform.aggregate":    "what every mode sums up, a number each",
	"arrows back up report/draw":           "a drawing is made of shapes that know how to paint themselves",
	"methods report/paper.record":          "a method a section of the weld record",
	"arrows back up report/paper/layout":   "a document in files by what it lays out",
	"methods report/paper/layout.Document": "a method for everything that can be laid on paper",
	"files report/sheet":                   "one for each thing that is frozen, and two with its words and units",
	"arrows back up report/sheet":          "a sheet is made of entries, and some entries look into the sheet",
}

// A measure is what was counted at one place.
type measure struct {
	what, place string
	value, most int
}

func (m measure) name() string { return m.what + " " + m.place }

func (m measure) out() bool { return m.value > m.most }

// room is one package as its files have it, tests aside.
type room struct {
	path     string
	files    []*sourceFile
	info     *types.Info
	position *token.FileSet
}

// readRooms reads all rooms of a tree, by their paths.
func readRooms(tree fs.FS) (map[string]*room, error) {
	rooms, files := map[string]*room{}, token.NewFileSet()
	err := fs.WalkDir(tree, ".", func(name string, entry fs.DirEntry, err error) error {
		if err == nil && entry.IsDir() && entry.Name() == othersFolder {
			return fs.SkipDir
		}
		if err != nil || entry.IsDir() || path.Ext(name) != ".go" || strings.HasSuffix(name, "_test.go") {
			return err
		}
		file, err := parseSource(files, tree, name)
		if err != nil {
			return err
		}
		if rooms[file.room] == nil {
			rooms[file.room] = &room{path: file.room, position: files}
		}
		rooms[file.room].files = append(rooms[file.room].files, file)
		return nil
	})
	for _, r := range rooms {
		r.resolve()
	}
	return rooms, err
}

// nothing stands in for what a room imports: only its own names matter here.
type nothing struct{}

// Import implements types.Importer.
func (nothing) Import(name string) (*types.Package, error) {
	p := types.NewPackage(name, path.Base(name))
	p.MarkComplete()
	return p, nil
}

// resolve finds out which name of the room is meant where.
func (r *room) resolve() {
	var syntax []*ast.File
	for _, f := range r.files {
		syntax = append(syntax, f.syntax)
	}
	r.info = &types.Info{Uses: map[*ast.Ident]types.Object{}, Defs: map[*ast.Ident]types.Object{}}
	config := types.Config{Importer: nothing{}, Error: func(error) {}}
	_, _ = config.Check(r.path, r.position, syntax, r.info) // the imports are missing: that is complained of
}

// measures are those of one room.
func (r *room) measures() (all []measure) {
	all = append(all, measure{"files", r.path, len(r.files), mostFiles})
	mutual, arrows := r.backUp()
	all = append(all, measure{"arrows back up", r.path, len(mutual), max(1, arrows/mostBackUp)})
	for _, t := range r.types() {
		all = append(all, measure{"methods", r.path + "." + t.name, t.methods, mostMethods})
		if t.acts {
			all = append(all, measure{"fields", r.path + "." + t.name, t.fields, mostFields})
		}
	}
	if r.path == "cmd/arctally" {
		for _, f := range r.files {
			all = append(all, measure{"lines", f.path, f.lines, mostCommand})
		}
	}
	return all
}

// declared is one type of a room.
type declared struct {
	name            string
	methods, fields int
	acts            bool // one of its methods changes it, or it holds a lock
}

func (r *room) types() []*declared {
	byName := map[string]*declared{}
	for _, f := range r.files {
		for _, d := range f.syntax.Decls {
			if g, ok := d.(*ast.GenDecl); ok {
				for _, spec := range g.Specs {
					if t, ok := spec.(*ast.TypeSpec); ok {
						byName[t.Name.Name] = newDeclared(t)
					}
				}
			}
		}
	}
	for _, f := range r.files {
		for _, d := range f.syntax.Decls {
			if m, ok := d.(*ast.FuncDecl); ok && m.Recv != nil {
				if t := byName[receiverOf(m)]; t != nil {
					t.methods++
					t.acts = t.acts || changes(m)
				}
			}
		}
	}
	var all []*declared
	for _, t := range byName {
		all = append(all, t)
	}
	slices.SortFunc(all, func(a, b *declared) int { return strings.Compare(a.name, b.name) })
	return all
}

func newDeclared(spec *ast.TypeSpec) *declared {
	t := &declared{name: spec.Name.Name}
	if s, ok := spec.Type.(*ast.StructType); ok {
		t.fields = s.Fields.NumFields()
		for _, f := range s.Fields.List {
			if lock, ok := f.Type.(*ast.SelectorExpr); ok && (lock.Sel.Name == "Mutex" || lock.Sel.Name == "RWMutex") {
				t.acts = true
			}
		}
	}
	return t
}

// receiverOf is the type that a method belongs to.
func receiverOf(m *ast.FuncDecl) string {
	expression := m.Recv.List[0].Type
	for {
		switch e := expression.(type) {
		case *ast.StarExpr:
			expression = e.X
		case *ast.IndexExpr:
			expression = e.X
		case *ast.Ident:
			return e.Name
		default:
			return ""
		}
	}
}

// changes tells whether a method puts something into a field of its receiver.
func changes(m *ast.FuncDecl) (found bool) {
	_, pointer := m.Recv.List[0].Type.(*ast.StarExpr)
	if !pointer || len(m.Recv.List[0].Names) == 0 || m.Body == nil {
		return false
	}
	own := m.Recv.List[0].Names[0].Name
	ast.Inspect(m.Body, func(node ast.Node) bool {
		switch node := node.(type) {
		case *ast.AssignStmt:
			for _, to := range node.Lhs {
				found = found || node.Tok != token.DEFINE && fieldOf(to, own)
			}
		case *ast.IncDecStmt:
			found = found || fieldOf(node.X, own)
		}
		return !found
	})
	return found
}

// fieldOf tells whether an expression is a field of a name, or a part of one.
func fieldOf(e ast.Expr, name string) bool {
	for {
		switch of := e.(type) {
		case *ast.SelectorExpr:
			if id, ok := of.X.(*ast.Ident); ok {
				return id.Name == name
			}
			e = of.X
		case *ast.IndexExpr:
			e = of.X
		default:
			return false
		}
	}
}

// backUp returns the pairs of files of which each uses a name of the other, and how
// many pairs have an arrow at all.
func (r *room) backUp() (mutual []string, arrows int) {
	home := map[types.Object]string{}
	for _, f := range r.files {
		for _, d := range f.syntax.Decls {
			for _, id := range namesOf(d) {
				home[r.info.Defs[id]] = f.path
			}
		}
	}
	uses := map[[2]string]bool{}
	for _, f := range r.files {
		ast.Inspect(f.syntax, func(node ast.Node) bool {
			if id, ok := node.(*ast.Ident); ok {
				if to, ok := home[r.info.Uses[id]]; ok && to != f.path {
					uses[[2]string{f.path, to}] = true
				}
			}
			return true
		})
	}
	for pair := range uses {
		back := uses[[2]string{pair[1], pair[0]}]
		if !back || pair[0] < pair[1] {
			arrows++
		}
		if back && pair[0] < pair[1] {
			mutual = append(mutual, path.Base(pair[0])+" <-> "+path.Base(pair[1]))
		}
	}
	slices.Sort(mutual)
	return mutual, arrows
}

// namesOf are the names that a declaration gives to its room; methods belong to their type.
func namesOf(d ast.Decl) (names []*ast.Ident) {
	switch d := d.(type) {
	case *ast.FuncDecl:
		if d.Recv == nil {
			names = append(names, d.Name)
		}
	case *ast.GenDecl:
		for _, spec := range d.Specs {
			switch s := spec.(type) {
			case *ast.TypeSpec:
				names = append(names, s.Name)
			case *ast.ValueSpec:
				names = append(names, s.Names...)
			}
		}
	}
	return names
}

// measureHouse measures all rooms, in the order of their paths.
func measureHouse(rooms map[string]*room) (all []measure) {
	var paths []string
	for p := range rooms {
		paths = append(paths, p)
	}
	slices.Sort(paths)
	for _, p := range paths {
		all = append(all, rooms[p].measures()...)
	}
	return all
}

// standOut shows what stands out with its reason, and returns the reasons that
// nothing needs any more.
func standOut(all []measure, reasons map[string]string) (shown string, stale []string) {
	var table strings.Builder
	needed := map[string]bool{}
	for _, m := range all {
		if !m.out() {
			continue
		}
		why := reasons[m.name()]
		if why == "" {
			why = "nobody has said why"
		}
		needed[m.name()] = true
		fmt.Fprintf(&table, "%-50s %4d, not %3d  %s\n", m.name(), m.value, m.most, why)
	}
	for name := range reasons {
		if !needed[name] {
			stale = append(stale, name)
		}
	}
	slices.Sort(stale)
	return table.String(), stale
}

// TestHouse_Measures prints the measures of the house, and what stands out of them.
func TestHouse_Measures(t *testing.T) {
	rooms, err := readRooms(os.DirFS("../.."))
	require.NoError(t, err)
	all := measureHouse(rooms)
	shown, stale := standOut(all, reasons)
	t.Log("\n" + overview(rooms))
	t.Log("what stands out, and why:\n" + shown)
	assert.Empty(t, stale, "these stand out no more: take their reasons away")
}

// overview is a line for each room.
func overview(rooms map[string]*room) string {
	var table strings.Builder
	fmt.Fprintf(&table, "%-32s %5s %6s %7s %8s %8s\n", "room", "files", "lines", "methods", "fields", "back up")
	var paths []string
	for p := range rooms {
		paths = append(paths, p)
	}
	slices.Sort(paths)
	files, lines := 0, 0
	for _, p := range paths {
		r := rooms[p]
		own, methods, fields := 0, 0, 0
		for _, f := range r.files {
			own += f.lines
		}
		for _, t := range r.types() {
			if methods = max(methods, t.methods); t.acts {
				fields = max(fields, t.fields)
			}
		}
		mutual, arrows := r.backUp()
		fmt.Fprintf(&table, "%-32s %5d %6d %7d %8d %3d of %2d  %s\n", p, len(r.files), own, methods, fields, len(mutual), arrows, strings.Join(mutual, ", "))
		files, lines = files+len(r.files), lines+own
	}
	fmt.Fprintf(&table, "%d rooms, %d files, %d lines; methods and fields are the most of one type\n", len(rooms), files, lines)
	return table.String()
}

// TestHouse_MeasuresCanStandOut shows that each measure can be passed, and just not.
func TestHouse_MeasuresCanStandOut(t *testing.T) {
	tree := fstest.MapFS{}
	put := func(name, text string) { tree[name] = &fstest.MapFile{Data: []byte(text)} }
	for k := range mostFiles + 1 {
		put(fmt.Sprintf("many/f%d.go", k), "package many\n")
		if k < mostFiles {
			put(fmt.Sprintf("few/f%d.go", k), "package few\n")
		}
	}
	put("few/f0_test.go", "package few\n")
	wide := func(fields int, method string) string {
		return "package x\n\ntype T struct {\n" + strings.Repeat("\t_ int\n", fields-1) + "\ta int\n}\n\n" + method
	}
	put("acts/a.go", wide(mostFields+1, "func (t *T) set() { t.a = 1 }\n"))
	put("narrow/a.go", wide(mostFields, "func (t *T) set() { t.a++ }\n"))
	put("only/a.go", wide(mostFields+1, "func (t *T) get() int { a := t.a; return a }\n"))
	put("lock/a.go", strings.Replace(wide(mostFields+1, ""), "\ta int", "\ta sync.Mutex", 1))
	busy := "package x\n\ntype T int\n"
	for k := range mostMethods {
		busy += fmt.Sprintf("\nfunc (t T) f%d() {}\n", k)
	}
	put("calm/a.go", busy)
	put("busy/a.go", busy+"\nfunc (t *T) last() {}\n")
	put("cmd/arctally/short.go", "package main\n"+strings.Repeat("\n", mostCommand-1))
	put("cmd/arctally/long.go", "package main\n"+strings.Repeat("\n", mostCommand))
	put("circle/a.go", "package x\n\nfunc a() { b(); c() }\n")
	put("circle/b.go", "package x\n\nfunc b() { a() }\n")
	put("circle/c.go", "package x\n\nfunc c() { a() }\n")
	put("line/a.go", "package x\n\nfunc a() { b() }\n")
	put("line/b.go", "package x\n\nfunc b() { a := 1; _ = a }\n")
	rooms, err := readRooms(tree)
	require.NoError(t, err)
	var out []string
	for _, m := range measureHouse(rooms) {
		if m.out() {
			out = append(out, m.name())
		}
	}
	assert.Equal(t, []string{
		"fields acts.T", "methods busy.T", "arrows back up circle", "lines cmd/arctally/long.go", "fields lock.T", "files many",
	}, out)
	shown, stale := standOut(measureHouse(rooms), map[string]string{"files many": "they are alike", "files few": "no more"})
	assert.Contains(t, shown, "they are alike")
	assert.Equal(t, 5, strings.Count(shown, "nobody has said why"))
	assert.Equal(t, []string{"files few"}, stale)
}
