package export

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"time"

	"github.com/parquet-go/parquet-go"

	"arctally/report/sheet"
)

// TableCSV writes a table of results with a head; flags are true and false,
// times RFC 3339 in UTC, lists JSON.
func TableCSV(w io.Writer, t Table, s *sheet.Sheet) error {
	table, err := tableOf(t, s)
	if err == nil {
		err = table.csv(w)
	}
	if err != nil {
		return fmt.Errorf("export csv: %w", err)
	}
	return nil
}

func (t *resultTable) csv(w io.Writer) error {
	out := csv.NewWriter(w)
	line := namesOf(t.columns)
	if err := out.Write(line); err != nil {
		return err
	}
	for _, row := range t.rows {
		if err := t.each(row, func(k int, cell any) error { line[k] = cellText(cell); return nil }); err != nil {
			return err
		}
		if err := out.Write(line); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func cellText(cell any) string {
	switch v := cell.(type) {
	case nil:
		return ""
	case int64:
		return strconv.FormatInt(v, 10)
	case float64:
		return string(appendFloat(nil, v))
	case bool:
		return strconv.FormatBool(v)
	case time.Time:
		return sheet.Timestamp(v)
	default:
		return plainCell(v.(string))
	}
}

// TableParquet writes a table of results; times are time stamps in microseconds,
// lists JSON text.
func TableParquet(w io.Writer, t Table, j Job) error {
	table, err := tableOf(t, sheetOf(j))
	if err == nil {
		err = table.parquet(w, about{Table: string(t), Job: j})
	}
	if err != nil {
		return fmt.Errorf("export parquet: %w", err)
	}
	return nil
}

func (t *resultTable) parquet(w io.Writer, said about) error {
	nodes := make([]parquet.Node, len(t.fields))
	for k, field := range t.fields {
		nodes[k] = field.kind.node()
	}
	file, err := newColumnFile(w, said, t.columns, nodes)
	if err != nil {
		return err
	}
	for _, row := range t.rows {
		if err := t.each(row, file.cell); err != nil {
			return err
		}
		if err := file.rowsDone(); err != nil {
			return err
		}
	}
	return file.close()
}

func (c cellKind) node() parquet.Node {
	switch c {
	case wholeCell:
		return parquet.Optional(stepped(parquet.Int(64)))
	case numberCell:
		return parquet.Optional(double())
	case flagCell:
		return parquet.Optional(parquet.Leaf(parquet.BooleanType))
	case momentCell:
		return moment(parquet.Microsecond)
	default:
		return parquet.Optional(repeated(parquet.String()))
	}
}

// cell adds a cell to its column.
func (f *columnFile) cell(k int, cell any) error {
	switch v := cell.(type) {
	case nil:
		f.null(k, 1)
	case time.Time:
		f.known(k, parquet.Int64Value(v.UnixMicro()))
	default:
		f.known(k, parquet.ValueOf(v))
	}
	return nil
}
