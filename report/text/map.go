package text

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"arctally/acquire/quantity"
	"arctally/report/sheet"
)

// fieldText prints a field of a layer: a point for a gap, a dash for what is not known.
func fieldText(s *sheet.Sheet, f sheet.Fields, of sheet.MapLayer, row, column int, unit string, decimals int) string {
	sum, cells := f.Sum(row, column)
	switch {
	case cells == 0:
		return "."
	case of == sheet.HeatLayer:
		return sheet.Digits(sheet.In(s.HeatOf(sum), unit), decimals)
	case of == sheet.ArcLayer:
		return sheet.Digits(sheet.In(&sum.ArcTime, unit), decimals)
	case of == sheet.EnergyLayer:
		return sheet.Digits(sheet.In(&sum.Energy, unit), decimals)
	}
	if f.NotSeen(row, column) {
		return "?"
	}
	if least := f.Least(row, column, sheet.StockOf(f.M)); least != nil {
		return sheet.Digits(sheet.In(least, unit), decimals)
	}
	return "."
}

// The fields of a map on a terminal: 24 of 15 degrees fit its width.
const (
	tableAcross = 3
	tableRows   = 40
)

// Map writes a layer of the unrolled map as a table of angle by depth, and
// whether the bore will clean up. The error is ErrNoMap where there is none.
func Map(w io.Writer, s *sheet.Sheet, of sheet.MapLayer, u sheet.Units, eccentricity quantity.Metres) error {
	if s.Wall == nil {
		return sheet.ErrNoMap
	}
	f := sheet.Coarse(s.Wall, tableAcross, tableRows)
	title, unit, decimals := s.LayerText(of, u)
	depthUnit := u.Set().Length
	g := grid{columns: []column{{name: "depth", unit: depthUnit}}}
	for column := range f.Columns {
		angle := int(float64(column*f.Across) * float64(s.Wall.AngleStep))
		g.columns = append(g.columns, angleColumn(angle))
	}
	for row := range f.Rows {
		from := quantity.Metres(row*f.Down) * s.Wall.DepthStep
		cells := []string{sheet.Digits(sheet.In(&from, depthUnit), u.Set().DepthDigits)}
		for column := range f.Columns {
			cells = append(cells, fieldText(s, f, of, row, column, unit, decimals))
		}
		g.add(cells)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "unrolled map: %s\nrecord %s, procedure %s, pattern %s\n\n", sheet.OrDash(s.Job.Name), sheet.OrDash(s.Record),
		sheet.OrDash(s.Job.Procedure.Name), sheet.OrDash(string(s.Job.Deposit.Pattern)))
	fmt.Fprintf(&b, "%s, %s; fields of 15 deg by %s, each named by where it begins\n\n", title, unit,
		quantity.Text(quantity.Metres(f.Down)*s.Wall.DepthStep, depthUnit, u.Set().DepthDigits))
	if err := g.writeTo(&b); err != nil {
		return err
	}
	b.WriteString("\n" + gapPoint(of) + "\nangle clockwise from the reference mark, seen from the torch side; depth from the entry face\n\n")
	cleanUpText(s, &b, u, eccentricity)
	if _, err := io.WriteString(w, b.String()); err != nil {
		return fmt.Errorf("write unrolled map: %w", err)
	}
	return nil
}

// gapPoint says what a point in the table stands for.
func gapPoint(of sheet.MapLayer) string {
	if of == sheet.StockLayer {
		return ". planned gap, or within 6 deg of one; ? data is missing"
	}
	return ". planned gap"
}

func angleColumn(angle int) column { return column{name: strconv.Itoa(angle), unit: "deg"} }

func cleanUpText(s *sheet.Sheet, b *strings.Builder, u sheet.Units, eccentricity quantity.Metres) {
	c := s.Wall.CleanUp(s.Wall.NewAllowance(eccentricity))
	answer, missing, unseen := sheet.CleanUpLines(c, u)
	put := func(line string) { b.WriteString(strings.Join(wrap(line, pageWidth), "\n  ") + "\n") }
	put(answer)
	list := func(head string, places []string) {
		for k, line := range places {
			if k == 0 {
				put(head)
			}
			if k == sheet.PatchesShown {
				put(fmt.Sprintf("- and at %d more places, all in --json", len(places)-k))
				break
			}
			put("- " + line)
		}
	}
	list(sheet.ShortHead, missing)
	list(sheet.UnseenHead, unseen)
	for _, line := range sheet.MapCautions(s.Wall, c, u) {
		put(line)
	}
	put("The program calculates and flags; only a person accepts.")
}
