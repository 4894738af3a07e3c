package sheet

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"arctally/acquire/quantity"
)

// ErrNoMap is returned where a job has no bore that could be unrolled.
var ErrNoMap error = noMapError{}

type noMapError struct{}

// Error implements error.
func (noMapError) Error() string {
	return "there is no map: the job has no bore with a worn diameter, a length and a pitch"
}

// Hint says how to have one.
func (noMapError) Hint() string { return "give the bore and the pitch in a job file: --job JOB.yaml" }

// The fields of a map on a terminal: 24 of 15 degrees fit its width.
const (
	tableAcross = 3
	tableRows   = 40
)

// MapTable writes a layer of the unrolled map as a table of angle by depth, and
// whether the bore will clean up. The error is ErrNoMap where there is none.
func (s *Sheet) MapTable(w io.Writer, of MapLayer, u Units, eccentricity quantity.Metres) error {
	if s.wall == nil {
		return ErrNoMap
	}
	f := coarse(s.wall, tableAcross, tableRows)
	title, unit, decimals := s.layerText(of, u)
	depthUnit := u.set().length
	g := grid{columns: []column{{name: "depth", unit: depthUnit}}}
	for column := range f.columns {
		angle := int(float64(column*f.across) * float64(s.wall.AngleStep))
		g.columns = append(g.columns, angleColumn(angle))
	}
	for row := range f.rows {
		from := quantity.Metres(row*f.down) * s.wall.DepthStep
		cells := []string{digits(in(&from, depthUnit), u.set().depth)}
		for column := range f.columns {
			cells = append(cells, s.fieldText(f, of, row, column, unit, decimals))
		}
		g.add(cells)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "unrolled map: %s\nrecord %s, procedure %s, pattern %s\n\n", orDash(s.job.Name), orDash(s.record),
		orDash(s.job.Procedure.Name), orDash(string(s.job.Deposit.Pattern)))
	fmt.Fprintf(&b, "%s, %s; fields of 15 deg by %s, each named by where it begins\n\n", title, unit,
		quantity.Text(quantity.Metres(f.down)*s.wall.DepthStep, depthUnit, u.set().depth))
	if err := g.writeTo(&b); err != nil {
		return err
	}
	b.WriteString("\n" + gapPoint(of) + "\nangle clockwise from the reference mark, seen from the torch side; depth from the entry face\n\n")
	s.cleanUpText(&b, u, eccentricity)
	if _, err := io.WriteString(w, b.String()); err != nil {
		return fmt.Errorf("write unrolled map: %w", err)
	}
	return nil
}

// gapPoint says what a point in the table stands for.
func gapPoint(of MapLayer) string {
	if of == StockLayer {
		return ". planned gap, or within 6 deg of one; ? data is missing"
	}
	return ". planned gap"
}

func angleColumn(angle int) column { return column{name: strconv.Itoa(angle), unit: "deg"} }

// What heads the lists of places.
const (
	shortHead  = "More metal is needed, or cannot be told to be enough:"
	unseenHead = "No data, so nobody knows what was laid; measure the wall:"
)

// patchesShown keeps a repair that is far from done from scrolling the answer away.
const patchesShown = 12

func (s *Sheet) cleanUpText(b *strings.Builder, u Units, eccentricity quantity.Metres) {
	c := s.wall.CleanUp(s.wall.NewAllowance(eccentricity))
	answer, missing, unseen := cleanUpLines(c, u)
	put := func(line string) { b.WriteString(strings.Join(wrap(line, pageWidth), "\n  ") + "\n") }
	put(answer)
	list := func(head string, places []string) {
		for k, line := range places {
			if k == 0 {
				put(head)
			}
			if k == patchesShown {
				put(fmt.Sprintf("- and at %d more places, all in --json", len(places)-k))
				break
			}
			put("- " + line)
		}
	}
	list(shortHead, missing)
	list(unseenHead, unseen)
	for _, line := range mapCautions(s.wall, c, u) {
		put(line)
	}
	put("The program calculates and flags; only a person accepts.")
}
