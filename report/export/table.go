package export

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"time"

	"arctally/report/sheet"
)

// Table names a table of results.
type Table string

// The tables of results.
const (
	Passes   Table = "passes"
	Findings Table = "findings"
)

// resultTable is the rows of the JSON as a table. A field of a field is the column
// outer_inner, a list is a cell of JSON, and what is not known is null.
type resultTable struct {
	columns []column
	fields  []resultField
	rows    []reflect.Value
}

// resultField is where a cell comes from.
type resultField struct {
	path    []int // of fields, through pointers
	kind    cellKind
	present bool // zero says that there is none
}

type cellKind int

const (
	wordCell cellKind = iota
	wholeCell
	numberCell
	flagCell
	momentCell
	listCell
)

// tableOf returns a table of results.
func tableOf(t Table, s *sheet.Sheet) (*resultTable, error) {
	switch t {
	case Passes:
		return newTable(s.PassList().Passes, readSchema().field("passes").Items), nil
	case Findings:
		return newTable(s.FindingList().Findings, readSchema().field("findings").Items), nil
	default:
		return nil, fmt.Errorf("there is no table %q of results: there are %s and %s", t, Passes, Findings)
	}
}

func newTable[Row any](rows []Row, described *schemaNode) *resultTable {
	t := new(resultTable)
	t.add(reflect.TypeFor[Row](), described, "", nil)
	for k := range rows {
		t.rows = append(t.rows, reflect.ValueOf(&rows[k]).Elem())
	}
	return t
}

// add adds the columns of an object.
func (t *resultTable) add(of reflect.Type, described *schemaNode, prefix string, path []int) {
	for k := range of.NumField() {
		name, options, _ := strings.Cut(of.Field(k).Tag.Get("json"), ",")
		meant, inner := described.field(name), of.Field(k).Type
		here := append(path[:len(path):len(path)], k)
		if inner.Kind() == reflect.Pointer {
			inner = inner.Elem()
		}
		if inner.Kind() == reflect.Struct {
			t.add(inner, meant, prefix+name+"_", here)
			continue
		}
		kind := kindOf(inner, meant)
		t.columns = append(t.columns, column{prefix + name, meant.Unit, meant.Description})
		t.fields = append(t.fields, resultField{here, kind, options == "omitempty" && kind != flagCell || kind == wordCell})
	}
}

func kindOf(of reflect.Type, meant *schemaNode) cellKind {
	switch of.Kind() {
	case reflect.String:
		if meant.Format == "date-time" {
			return momentCell
		}
		return wordCell
	case reflect.Int, reflect.Int64:
		return wholeCell
	case reflect.Float64:
		return numberCell
	case reflect.Bool:
		return flagCell
	case reflect.Slice:
		return listCell
	default:
		panic("export: a row of results has a " + of.String())
	}
}

// cell returns what stands in a cell: nil, or a string, int64, float64, bool or
// time.Time by the kind of the column.
func (f resultField) cell(row reflect.Value) (any, error) {
	for _, k := range f.path {
		row = row.Field(k)
		if row.Kind() == reflect.Pointer {
			if row.IsNil() {
				return nil, nil
			}
			row = row.Elem()
		}
	}
	if f.present && row.IsZero() || row.Kind() == reflect.Slice && row.IsNil() {
		return nil, nil
	}
	switch f.kind {
	case wholeCell:
		return row.Int(), nil
	case numberCell:
		return row.Float(), nil
	case flagCell:
		return row.Bool(), nil
	case momentCell:
		return time.Parse(time.RFC3339Nano, row.String())
	case listCell:
		text, err := json.Marshal(row.Interface())
		return string(text), err
	default:
		return row.String(), nil
	}
}

// each calls visit for every cell of a row, in the order of the columns.
func (t *resultTable) each(row reflect.Value, visit func(k int, cell any) error) error {
	for k, field := range t.fields {
		cell, err := field.cell(row)
		if err == nil {
			err = visit(k, cell)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", t.columns[k].Name, err)
		}
	}
	return nil
}
