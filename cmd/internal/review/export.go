package review

import (
	"context"
	"io"

	"arctally/report/export"
)

// Form is what an export writes, and how.
type Form struct {
	Format, Table string
	Slow          bool // the slow channels and turn counts in place of voltage and current
}

// The formats of an export.
const (
	FormatCSV          = "csv"
	FormatParquet      = "parquet"
	FormatJSON         = "json"
	FormatLineProtocol = "lineprotocol"
)

// TableSamples is the table that is not one of results.
const TableSamples = "samples"

// Export writes the record in a form; told hears how far it is, from 0 to 1.
func (r *Review) Export(ctx context.Context, w io.Writer, f Form, told func(share float64)) error {
	samples := export.Samples{Parts: r.parts(ctx, told), Register: r.Register(), WallTime: r.WallTime}
	switch {
	case f.Format == FormatLineProtocol:
		return export.LineProtocol(w, samples, r.Sheet())
	case f.Format == FormatJSON:
		return r.WriteJSON(w)
	case f.Format == FormatParquet:
		return r.writeParquet(w, samples, f)
	case f.Table != TableSamples:
		return export.TableCSV(w, export.Table(f.Table), r.Sheet())
	case f.Slow:
		return export.SlowCSV(w, samples)
	default:
		return export.CSV(w, samples)
	}
}

func (r *Review) writeParquet(w io.Writer, samples export.Samples, f Form) error {
	job := export.Job{Sheet: r.Sheet(), Sources: r.Sources}
	switch {
	case f.Table != TableSamples:
		return export.TableParquet(w, export.Table(f.Table), job)
	case f.Slow:
		return export.SlowParquet(w, samples, job)
	default:
		return export.Parquet(w, samples, job)
	}
}

// WriteJSON writes the results, what the sources said of themselves and the events.
func (r *Review) WriteJSON(w io.Writer) error {
	events, err := r.Events()
	if err != nil {
		return err
	}
	begins, groups, err := r.Reach()
	if err != nil {
		return err
	}
	return export.JSON(w, export.Job{
		Sheet: r.Sheet(), Sources: r.Sources, Events: events, WallTime: r.WallTime,
		Chain: export.Chain{Begins: begins, Groups: groups, Created: r.Meta().Created},
	})
}
