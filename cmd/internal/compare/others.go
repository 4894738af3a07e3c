//go:build linux

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
)

// memory measures whether a longer record takes more of it.
func (c *comparison) memory(ctx context.Context) error {
	const part = "memory of a judgement"
	return c.inTurns(func(s *side, round int) error {
		for _, hours := range c.hours {
			if round > 0 { // it hardly varies, and two days are long
				return nil
			}
			file, err := s.record(ctx, live, hours)
			if err != nil {
				return err
			}
			if err := s.forget(); err != nil {
				return err
			}
			u, err := s.run(ctx, "passes", file, "--json")
			if err != nil {
				return err
			}
			c.table.row(part, "passes of "+length(hours)+", the first time", "MB", "").of(s, u.memory)
			c.table.row(part, "passes of "+length(hours)+", its processor time", "s", "").of(s, u.seconds)
		}
		return nil
	})
}

// columnar is what DuckDB made of the samples: bytes, and seconds of processor time.
type columnar struct {
	Values       float64 `json:"values"`
	TableWrite   float64 `json:"table_write"`
	TableScan    float64 `json:"table_scan"`
	TableBytes   float64 `json:"table_bytes"`
	ParquetWrite float64 `json:"parquet_write"`
	ParquetScan  float64 `json:"parquet_scan"`
	ParquetBytes float64 `json:"parquet_bytes"`
	ExportWrite  float64 `json:"export_write"`
	ExportBytes  float64 `json:"export_bytes"`
}

// others measures DuckDB and Parquet on the samples of the shortest record. They are the
// same on both sides, and stand there for comparison.
func (c *comparison) others(ctx context.Context) error {
	part := "DuckDB and Parquet on the samples of " + length(c.hours[0])
	return c.inTurns(func(s *side, _ int) error {
		file, err := s.record(ctx, live, c.hours[0])
		if err != nil {
			return err
		}
		exported := s.scratch("samples.parquet")
		if _, err := s.run(ctx, "passes", file, "--json"); err != nil { // what can be kept of it is kept
			return err
		}
		export, err := s.run(ctx, "export", file, "--format", "parquet", "-o", exported)
		if err != nil {
			return err
		}
		var bare took
		if err := s.work(ctx, &bare, "decode", file); err != nil {
			return err
		}
		d, err := c.duckDB(ctx, s, exported)
		if err != nil {
			return err
		}
		each := func(what, unit, goal string, value float64) { c.table.row(part, what, unit, goal).of(s, value) }
		each("the record: bytes a value", "bytes", "", bare.Bytes/d.Values)
		each("the record: decoded", "M values/core-s", "", bare.Values/bare.Seconds/1e6)
		each("DuckDB's table of the codes: bytes a value", "bytes", "", d.TableBytes/d.Values)
		each("DuckDB's table of the codes: written", "M values/core-s", "", d.Values/d.TableWrite/1e6)
		each("DuckDB's table of the codes: scanned", "M values/core-s", "", d.Values/d.TableScan/1e6)
		each("DuckDB's Parquet of the codes: bytes a value", "bytes", "", d.ParquetBytes/d.Values)
		each("DuckDB's Parquet of the codes: written", "M values/core-s", "", d.Values/d.ParquetWrite/1e6)
		each("DuckDB's Parquet of the codes: scanned", "M values/core-s", "", d.Values/d.ParquetScan/1e6)
		each("export --format parquet", "s", "", export.seconds)
		each("DuckDB writes the same columns to Parquet", "s", "", d.ExportWrite)
		each("export against DuckDB's writer", "x", "at most 2", export.seconds/d.ExportWrite)
		info, err := os.Stat(exported)
		if err != nil {
			return err
		}
		each("export against DuckDB's file", "x", "", float64(info.Size())/d.ExportBytes)
		return os.Remove(exported)
	})
}

// duckDB has DuckDB read an export, and write and scan it in its own forms.
func (c *comparison) duckDB(ctx context.Context, s *side, exported string) (d columnar, err error) {
	folder, err := os.MkdirTemp(s.folder, "scratch-")
	if err != nil {
		return d, err
	}
	said, err := exec.CommandContext(ctx, "node", filepath.Join(c.reader, "measure.mjs"), exported, folder).Output()
	if err := errors.Join(err, os.RemoveAll(folder)); err != nil {
		return d, fmt.Errorf("DuckDB: %w", err)
	}
	return d, json.Unmarshal(said, &d)
}

// elsewhere measures what was not to get worse.
func (c *comparison) elsewhere(ctx context.Context) error {
	const (
		part   = "elsewhere"
		starts = 20
	)
	return c.inTurns(func(s *side, _ int) error {
		each := func(what, unit string, value float64) { c.table.row(part, what, unit, "no worse").of(s, value) }
		info, err := os.Stat(s.program())
		if err != nil {
			return err
		}
		each("size of the program", "MB", float64(info.Size())/1e6)
		var start usage
		for range starts {
			u, err := s.run(ctx, "--help")
			if err != nil {
				return err
			}
			start.seconds, start.memory = start.seconds+u.seconds/starts, max(start.memory, u.memory)
		}
		each("a start of the program", "ms", 1e3*start.seconds)
		return errors.Join(c.demo(ctx, s, each), c.capture(ctx, s, each), c.manyPasses(ctx, s, each))
	})
}

// demo lays the demo's repair as fast as it goes, and makes its papers.
func (c *comparison) demo(ctx context.Context, s *side, each func(what, unit string, value float64)) error {
	file, page, paper := s.scratch("demo.arctally"), s.scratch("demo.html"), s.scratch("demo.pdf")
	if err := errors.Join(s.forget(), os.RemoveAll(file)); err != nil {
		return err
	}
	u, err := s.run(ctx, "demo", "--speed", "1000", "--layers", "1", "-o", file, "--report", page)
	if err != nil {
		return err
	}
	each("demo of one layer", "s", u.seconds)
	for _, form := range []struct{ what, output string }{{"the first time", paper}, {"again", paper}, {"as a page, again", page}} {
		u, err := s.run(ctx, "report", file, "-o", form.output)
		if err != nil {
			return err
		}
		each("report of the demo, "+form.what, "s", u.seconds)
		each("report of the demo, "+form.what+", most memory", "MB", u.memory)
	}
	if u, err = s.run(ctx, "verify", file); err != nil {
		return err
	}
	each("verify of the demo", "s", u.seconds)
	return nil
}

// capture imports a capture of the shortest record.
func (c *comparison) capture(ctx context.Context, s *side, each func(what, unit string, value float64)) error {
	file, err := s.record(ctx, live, c.hours[0])
	if err != nil {
		return err
	}
	text, into := s.scratch("capture.csv"), s.scratch("imported.arctally")
	u, err := s.run(ctx, "export", file, "--format", "csv", "-o", text)
	if err != nil {
		return err
	}
	each("export of "+length(c.hours[0])+" as CSV", "s", u.seconds)
	job, err := jobWith(s.scratch("limit"), limitWritten, limitWritten)
	if err != nil {
		return err
	}
	if err := os.RemoveAll(into); err != nil {
		return err
	}
	u, err = s.run(ctx, "import", text, "--job", job, "-o", into, "--time", "tick_ns*1e-9", "--voltage", "voltage_v", "--current", "current_a")
	if err != nil {
		return err
	}
	each("import of that", "s", u.seconds)
	each("import of that, most memory", "MB", u.memory)
	return errors.Join(os.Remove(text), os.Remove(into))
}

// manyPasses reports a thousand short passes with thousands of findings.
func (c *comparison) manyPasses(ctx context.Context, s *side, _ func(what, unit string, value float64)) error {
	const part = "1000 passes, 4000 findings"
	file := filepath.Join(s.folder, "many.arctally")
	if _, err := os.Stat(file); err != nil {
		var t took
		if err := s.work(ctx, &t, "many", file, "1000"); err != nil {
			return err
		}
	}
	if err := s.forget(); err != nil {
		return err
	}
	for _, look := range []string{"the first time", "again"} {
		u, err := s.run(ctx, "report", file, "-o", s.scratch("many.pdf"))
		if err != nil {
			return err
		}
		c.table.row(part, "report, "+look, "s", "at most 3").of(s, u.seconds)
		c.table.row(part, "report, "+look+", most memory", "MB", "at most 96").of(s, u.memory)
	}
	return nil
}
