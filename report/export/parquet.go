package export

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/compress/zstd"

	"arctally/report/sheet"
)

// batchRows is how many rows are gathered before they go to their columns.
const batchRows = 1024

// pageBytes is the size at which a page ends, in the memory of the writer: a
// large one packs better, a small one is faster to look something up in.
const pageBytes = 1 << 20

// The encodings: whole numbers that grow evenly, and values that keep coming back.
func stepped(n parquet.Node) parquet.Node  { return parquet.Encoded(n, &parquet.DeltaBinaryPacked) }
func repeated(n parquet.Node) parquet.Node { return parquet.Encoded(n, &parquet.RLEDictionary) }

func double() parquet.Node { return parquet.Leaf(parquet.DoubleType) }

func moment(unit parquet.TimeUnit) parquet.Node {
	return parquet.Optional(stepped(parquet.Timestamp(unit)))
}

// ordered is a group whose columns stand in the order of their names given; a
// plain one sorts them.
type ordered struct {
	parquet.Group
	names []string
}

// Fields implements parquet.Node.
func (o ordered) Fields() []parquet.Field {
	fields := o.Group.Fields()
	slices.SortFunc(fields, func(a, b parquet.Field) int {
		return slices.Index(o.names, a.Name()) - slices.Index(o.names, b.Name())
	})
	return fields
}

// columnFile gathers rows and writes them column by column.
type columnFile struct {
	file    *parquet.GenericWriter[any]
	columns []*parquet.ColumnWriter
	batch   [][]parquet.Value
}

// newColumnFile begins a file that tells what it is; nodes are its columns in order.
func newColumnFile(w io.Writer, about about, columns []column, nodes []parquet.Node) (*columnFile, error) {
	group := ordered{Group: parquet.Group{}, names: namesOf(columns)}
	for k, c := range columns {
		group.Group[c.Name] = nodes[k]
	}
	options := []parquet.WriterOption{
		parquet.NewSchema(about.Table, group), parquet.Compression(&zstd.Codec{Level: zstd.SpeedDefault}),
		parquet.PageBufferSize(pageBytes), &parquet.WriterConfig{CreatedBy: "arctally"},
	}
	about.Columns = columns
	said, err := about.pairs()
	if err != nil {
		return nil, err
	}
	for _, pair := range said {
		options = append(options, parquet.KeyValueMetadata(pair[0], pair[1]))
	}
	f := &columnFile{file: parquet.NewGenericWriter[any](w, options...), batch: make([][]parquet.Value, len(columns))}
	f.columns = f.file.ColumnWriters()
	return f, nil
}

// fill adds a value n times to a column that always has one.
func (f *columnFile) fill(k, n int, v parquet.Value) {
	for range n {
		f.batch[k] = append(f.batch[k], v)
	}
}

// known adds a value to a column that may be without.
func (f *columnFile) known(k int, v parquet.Value) { f.batch[k] = append(f.batch[k], v.Level(0, 1, k)) }

// null adds n times what is not known.
func (f *columnFile) null(k, n int) { f.fill(k, n, parquet.NullValue().Level(0, 0, k)) }

// rowsDone hands the rows to their columns when enough have gathered.
func (f *columnFile) rowsDone() error {
	if len(f.batch[0]) < batchRows {
		return nil
	}
	return f.hand()
}

func (f *columnFile) hand() error {
	if len(f.batch[0]) == 0 {
		return nil // the library looks for the first of the values
	}
	for k, values := range f.batch {
		if _, err := f.columns[k].WriteRowValues(values); err != nil {
			return err
		}
		f.batch[k] = values[:0]
	}
	return nil
}

// endGroup ends a row group: what was gathered leaves the memory.
func (f *columnFile) endGroup() error {
	if err := f.hand(); err != nil {
		return err
	}
	return f.file.Flush()
}

func (f *columnFile) close() error {
	if err := f.endGroup(); err != nil {
		return err
	}
	return f.file.Close()
}

// about is what a file says of itself, as keys and values beside its columns.
type about struct {
	Table   string
	Columns []column
	Job     Job
	Samples Samples // none for a table of results
}

// definitions are what the figures of every export mean.
const definitions = "Energy is the trapezoid of voltage times current over every step whose two ends are in arc and that no break parts; " +
	"the arc is on by the flag of the source where it has one, else by the thresholds of the procedure. " +
	"A pass is one bead laid without repositioning. Angles run clockwise from the reference mark, seen from the torch side; " +
	"depths run from the entry face. Null is not known, never zero. The program flags; only a person accepts."

// pairs returns the keys and their values in order; what is not known is left out.
func (a about) pairs() ([][2]string, error) {
	list := a.Job.Sheet.PassList()
	pairs := [][2]string{
		{"table", a.Table},
		{"record", list.Record},
		{"job", list.Job},
		{"procedure", list.Procedure},
		{"heat_input_definition", list.Definition},
		{"decision_rule", list.Rule},
		{"fingerprint", a.Job.Sheet.Fingerprint},
		{"definitions", definitions},
	}
	for _, more := range []struct {
		key   string
		value any
	}{{"columns", a.Columns}, {"sources", sourceObjects(a.Job.Sources)}, {"calibrations", a.Samples.calibrationObjects()}} {
		text, err := json.Marshal(more.value)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", more.key, err)
		}
		pairs = append(pairs, [2]string{more.key, string(text)})
	}
	return slices.DeleteFunc(pairs, func(p [2]string) bool { return p[1] == "" || p[1] == "null" }), nil
}

// sheetOf returns the sheet of a job, which every file is about.
func sheetOf(j Job) *sheet.Sheet {
	if j.Sheet == nil {
		panic("export: a job without its sheet")
	}
	return j.Sheet
}
