package main

import (
	"context"
	"io"

	"arctally/report/export"
)

// exportForm is what an export writes, and how.
type exportForm struct {
	format, table string
	slow          bool // the slow channels and turn counts in place of voltage and current
}

// The formats of an export.
const (
	formatCSV          = "csv"
	formatParquet      = "parquet"
	formatJSON         = "json"
	formatLineProtocol = "lineprotocol"
)

// tableSamples is the table that is not one of results.
const tableSamples = "samples"

// export writes the record in a form; told hears how far it is, from 0 to 1.
func (r *review) export(ctx context.Context, w io.Writer, f exportForm, told func(share float64)) error {
	samples := export.Samples{Parts: r.parts(ctx, told), Calibrations: r.calibration, WallTime: r.WallTime}
	switch {
	case f.format == formatLineProtocol:
		return export.LineProtocol(w, samples, r.sheet())
	case f.format == formatJSON:
		return r.writeJSON(w)
	case f.format == formatParquet:
		return r.writeParquet(w, samples, f)
	case f.table != tableSamples:
		return export.TableCSV(w, export.Table(f.table), r.sheet())
	case f.slow:
		return export.SlowCSV(w, samples)
	default:
		return export.CSV(w, samples)
	}
}

func (r *review) writeParquet(w io.Writer, samples export.Samples, f exportForm) error {
	job := export.Job{Sheet: r.sheet(), Sources: r.sources}
	switch {
	case f.table != tableSamples:
		return export.TableParquet(w, export.Table(f.table), job)
	case f.slow:
		return export.SlowParquet(w, samples, job)
	default:
		return export.Parquet(w, samples, job)
	}
}

// writeJSON writes the results, what the sources said of themselves and the events.
func (r *review) writeJSON(w io.Writer) error {
	events, err := r.Events()
	if err != nil {
		return err
	}
	return export.JSON(w, export.Job{Sheet: r.sheet(), Sources: r.sources, Events: events, WallTime: r.WallTime})
}
