package bundling

import (
	"context"
	"fmt"
	"io"

	"arctally/acquire/record"
	"arctally/cmd/internal/files"
	"arctally/cmd/internal/review"
	"arctally/report/export"
	"arctally/report/handover"
	"arctally/report/paper"
	"arctally/report/paper/layout"
	"arctally/report/sheet"
)

// entryName names a seal by the commit that holds it; several may be in one.
func entryName(s *record.Sealed, k int) string { return fmt.Sprintf("entry-%d-%d", s.In, k+1) }

func textFile(name, format, about, text string) handover.File {
	return handover.File{Name: name, Format: format, About: about, Write: func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	}}
}

// making is a record while the files of its bundle are made.
type making struct {
	*review.Review
	ctx context.Context
}

// files are those of the bundle, the record first.
func (m *making) files(found *record.Sealing) []handover.File {
	all := append([]handover.File{
		{Name: "weld-record.pdf", Format: "application/pdf", About: "the weld record to print; its first sheet is the certificate", Write: m.pdf},
		{Name: "certificate.pdf", Format: "application/pdf", About: "the first sheet of the weld record alone, to be filed, and behind it what it had no room for", Write: m.certificate},
		{Name: "weld-record.html", Format: "text/html", About: "the same as one page that prints", Write: m.html},
		{Name: handover.ResultsName, Format: "application/json", About: "the results; what each field is and its unit, arctally export --schema says", Write: m.WriteJSON},
		{Name: handover.PassesName, Format: parquetFormat, About: "the passes; what each column is and its unit stand in the file, under the key columns", Write: m.table(review.Form{Table: string(export.Passes)})},
		{Name: handover.SamplesName, Format: parquetFormat, About: "voltage and current as they were measured; what each column is and its unit stand in the file, under the key columns", Write: m.table(review.Form{Table: review.TableSamples})},
		{Name: handover.SlowName, Format: parquetFormat, About: "every other channel as it was measured, and the turn counts, in the same way", Write: m.table(review.Form{Table: review.TableSamples, Slow: true})},
	}, append(m.photographs(), sealsOf(found)...)...)
	for k := range all {
		all[k].Write = m.asItWas(all[k].Write)
	}
	own := handover.File{Name: handover.RecordName, Format: "application/vnd.sqlite3", About: "the record: every sample, what people put on it, and its seals; arctally verify reads it", Path: m.File}
	return append([]handover.File{own}, all...)
}

const parquetFormat = "application/vnd.apache.parquet"

// asItWas is a file that is made of a record which nobody has gone on with meanwhile.
func (m *making) asItWas(write func(io.Writer) error) func(io.Writer) error {
	return func(w io.Writer) error {
		err := m.ctx.Err()
		if err == nil {
			err = files.Buffered(w, write)
		}
		if err == nil && !m.Lasting() {
			err = &record.Error{Kind: record.Changed, Path: m.File, Detail: "somebody went on with it while it was handed over"}
		}
		return err
	}
}

func (m *making) pdf(w io.Writer) error {
	return m.paper(func(p paper.With, s *sheet.Sheet) error { return p.PDF(w, s, sheet.UnitsOf(&s.Job), layout.A4) })
}

func (m *making) certificate(w io.Writer) error {
	s := m.Sheet()
	return paper.With{Wanted: m.ctx.Err}.CertificatePDF(w, s, sheet.UnitsOf(&s.Job), layout.A4)
}

func (m *making) html(w io.Writer) error {
	return m.paper(func(p paper.With, s *sheet.Sheet) error { return p.HTML(w, s, sheet.UnitsOf(&s.Job)) })
}

func (m *making) paper(print func(paper.With, *sheet.Sheet) error) error {
	s := m.Sheet()
	waves, err := m.Waves(m.ctx, s)
	if err != nil {
		return err
	}
	return print(paper.With{Waves: waves, Wanted: m.ctx.Err}, s)
}

func (m *making) table(f review.Form) func(io.Writer) error {
	f.Format = review.FormatParquet
	return func(w io.Writer) error { return m.Export(m.ctx, w, f, func(float64) {}) }
}

// endings are those of the photographs that this program takes.
var endings = map[string]string{"image/jpeg": ".jpg", "image/png": ".png"}

// photographs are those that entries name, each by its SHA-256, as they are in the record.
func (m *making) photographs() []handover.File {
	var found []handover.File
	known := map[string]bool{}
	for _, entry := range m.Entries {
		for _, p := range entry.Photographs {
			if known[p.SHA256] {
				continue
			}
			known[p.SHA256] = true
			ending, ok := endings[p.Type]
			if !ok {
				ending, p.Type = ".bin", "application/octet-stream"
			}
			found = append(found, handover.File{
				Name: "photographs/" + p.SHA256 + ending, Format: p.Type, About: fmt.Sprintf("a photograph of entry %d", entry.Number),
				Write: func(w io.Writer) error {
					_, content, err := m.Photograph(p.SHA256)
					if err == nil {
						_, err = w.Write(content)
					}
					return err
				},
			})
		}
	}
	return found
}
