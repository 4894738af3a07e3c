package fleet

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"strings"

	"arctally/analyze/finding/chart"
	"arctally/report/sheet"
)

// Measure is what a chart is of.
type Measure string

// The measures.
const (
	HeatInput Measure = "heat-input"
	ArcOn     Measure = "arc-on"
)

// Side is what charts are drawn by.
type Side string

// The sides.
const (
	ByProcedure Side = "procedure"
	ByBox       Side = "box"
	ByOperator  Side = "operator"
	ByLayer     Side = "layer"
)

// Sides are all that there are.
func Sides() []Side { return []Side{ByProcedure, ByBox, ByOperator, ByLayer} }

// chartKey is one chart.
type chartKey struct {
	measure Measure
	side    Side
	member  string // empty is not known
}

// point is one job on one chart.
type point struct {
	key    chartKey
	chart  int64
	at     int64
	value  float64
	passes int
	pass   int // the first of them
}

// beyondAnyArc is where a value is no measurement any more, in J/m or 1: its square would
// spoil the sums of a chart for good.
const beyondAnyArc = 1e12

// points are where the passes of a job belong, in the order in which they were met.
func (t *taken) points() (all []*point) {
	if t.at == nil {
		return nil
	}
	byKey := map[chartKey]*point{}
	for k := range t.Passes {
		p := &t.Passes[k]
		for measure, value := range map[Measure]*float64{HeatInput: times(t.judged(p), kiloJoulesPerMM), ArcOn: p.ArcOnRatio} {
			if value == nil || math.Abs(*value) > beyondAnyArc {
				continue
			}
			for _, side := range Sides() {
				key := chartKey{measure, side, t.member(side, p)}
				if byKey[key] == nil {
					byKey[key] = &point{key: key, chart: id("chart", key.measure, key.side, t.procedure, key.member), at: *t.at, pass: p.Number}
					all = append(all, byKey[key])
				}
				q := byKey[key]
				q.passes++
				q.value += (*value - q.value) / float64(q.passes)
			}
		}
	}
	return all
}

// judged is what the procedure means by heat input: so it may be held beside its window.
func (t *taken) judged(p *sheet.PassRow) *float64 {
	if (&Procedure{Definition: &t.Definition}).JudgesArcEnergy() {
		return p.ArcEnergy
	}
	return p.HeatInput
}

func (t *taken) member(side Side, p *sheet.PassRow) string {
	switch {
	case side == ByBox:
		return plain(t.ArcBox)
	case side == ByOperator:
		return plain(t.People.Operator)
	case side == ByLayer && p.Layer != nil:
		return fmt.Sprint(*p.Layer)
	default:
		return ""
	}
}

// plot puts points on their charts.
func (w *writing) plot(ctx context.Context, t *taken) error {
	points := t.points()
	if len(points) == 0 {
		return nil
	}
	now, err := w.charted(ctx, points, t.id, 1)
	if err != nil {
		return err
	}
	charts := &rows{table: "charts", columns: "id, measure, side, procedure, member, passes, n, total, squares, ranges, products, first_value, last_value, need"}
	lines := &rows{table: "points", columns: "chart, at_us, job, value, passes, pass"}
	for k, p := range points {
		charts.add(append([]any{p.chart, string(p.key.measure), string(p.key.side), t.procedure, text(p.key.member)}, now[k].columns()...)...)
		lines.add(p.chart, p.at, t.id, p.value, p.passes, p.pass)
	}
	return errors.Join(w.insert(ctx, charts, onCharted), w.insert(ctx, lines, ""))
}

// onCharted puts what a chart has now in the place of what it had.
const onCharted = `ON CONFLICT (id) DO UPDATE SET passes = excluded.passes, n = excluded.n, total = excluded.total, squares = excluded.squares, ranges = excluded.ranges,
	products = excluded.products, first_value = excluded.first_value, last_value = excluded.last_value, need = excluded.need`

// unplot takes the points of a job off their charts.
func (w *writing) unplot(ctx context.Context, job int64) error {
	points, err := w.pointsOf(ctx, job)
	if err != nil || len(points) == 0 {
		return err
	}
	now, err := w.charted(ctx, points, job, -1)
	if err != nil {
		return err
	}
	for k, p := range points {
		if err := w.exec(ctx, `UPDATE charts SET passes = $2, n = $3, total = $4, squares = $5, ranges = $6, products = $7, first_value = $8, last_value = $9, need = $10
			WHERE id = $1`, append([]any{p.chart}, now[k].columns()...)...); err != nil {
			return err
		}
	}
	return w.exec(ctx, "DELETE FROM points WHERE job = $1", job)
}

func (w *writing) pointsOf(ctx context.Context, job int64) (all []*point, err error) {
	err = each(ctx, w.tx, w.f.sql("SELECT chart, at_us, value, passes FROM points WHERE job = $1"), []any{job}, func(rows *sql.Rows) error {
		p := new(point)
		all = append(all, p)
		return rows.Scan(&p.chart, &p.at, &p.value, &p.passes)
	})
	return all, err
}

// charted is what is known of all the points of a chart.
type charted struct {
	passes      int64
	sums        chart.Sums
	first, last *float64
}

func (c *charted) columns() []any {
	return []any{c.passes, c.sums.N, c.sums.Total, c.sums.Squares, c.sums.Ranges, c.sums.Products, c.first, c.last, c.need()}
}

// charted is what there is to know of the charts of the points of one job once these are
// there, or with the sign -1 are gone. Neighbours are those in the order of time.
func (w *writing) charted(ctx context.Context, points []*point, job int64, sign int64) ([]charted, error) {
	var values strings.Builder
	args := []any{job}
	for k, p := range points {
		if k > 0 {
			values.WriteString(", ")
		}
		fmt.Fprintf(&values, "(%d, CAST($%d AS BIGINT), CAST($%d AS BIGINT))", k, len(args)+1, len(args)+2)
		args = append(args, p.chart, p.at)
	}
	all := make([]charted, len(points))
	err := each(ctx, w.tx, w.f.sql(`WITH here (k, chart, at_us) AS (VALUES `+values.String()+`) SELECT k, coalesce(c.passes, 0), coalesce(c.n, 0), coalesce(c.total, 0),
		coalesce(c.squares, 0), coalesce(c.ranges, 0), coalesce(c.products, 0), c.first_value, c.last_value,
		(SELECT value FROM points p WHERE p.chart = here.chart AND (p.at_us, p.job) < (here.at_us, CAST($1 AS BIGINT)) ORDER BY p.at_us DESC, p.job DESC LIMIT 1),
		(SELECT value FROM points p WHERE p.chart = here.chart AND (p.at_us, p.job) > (here.at_us, CAST($1 AS BIGINT)) ORDER BY p.at_us, p.job LIMIT 1)
		FROM here LEFT JOIN charts c ON c.id = here.chart`), args, func(rows *sql.Rows) error {
		var k int
		var before, after *float64
		var c charted
		err := rows.Scan(&k, &c.passes, &c.sums.N, &c.sums.Total, &c.sums.Squares, &c.sums.Ranges, &c.sums.Products, &c.first, &c.last, &before, &after)
		if err == nil {
			c.change(before, points[k], after, sign)
			all[k] = c
		}
		return err
	})
	return all, err
}

// change takes a point in between its neighbours, or out with the sign -1.
func (c *charted) change(before *float64, p *point, after *float64, sign int64) {
	sums, first, last := chart.Between(before, p.value, after), &p.value, &p.value
	if sign < 0 {
		sums, first, last = sums.Minus(), after, before
	}
	c.passes, c.sums = c.passes+sign*int64(p.passes), c.sums.Plus(sums)
	if before == nil {
		c.first = first
	}
	if after == nil {
		c.last = last
	}
	if c.sums.N == 0 {
		*c = charted{}
	}
}

// fewest is the least of jobs that limits are computed of. Ours, no source.
const fewest = 8

// limits are nil where there are none; why says the reason.
func (c *charted) limits() (low, high, factor *float64, why string) {
	if c.sums.N < fewest {
		return nil, nil, nil, tooFew
	}
	l, h, f, ok := c.sums.Limits(*c.first, *c.last)
	if !ok {
		return nil, nil, nil, resembling
	}
	return &l, &h, &f, ""
}

// need is how far the newest job lies from the mean, as a share of the way to the limits: -1
// where there are none, nil where there is no job.
func (c *charted) need() *float64 {
	low, high, _, _ := c.limits()
	switch {
	case c.sums.N == 0:
		return nil
	case low == nil:
		return new(-1.0)
	case !(*high > *low):
		return new(0.0) // nothing varies
	}
	mean := c.sums.Mean()
	return new(math.Abs(*c.last-mean) / (*high - mean))
}
