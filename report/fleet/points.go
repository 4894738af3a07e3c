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
		for measure, value := range map[Measure]*float64{HeatInput: times(p.HeatInput, kiloJoulesPerMM), ArcOn: p.ArcOnRatio} {
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
	changes, err := w.changes(ctx, points, t.id, 1)
	if err != nil {
		return err
	}
	charts := &rows{table: "charts", columns: "id, measure, side, procedure, member, passes, n, total, squares, ranges, products, first_value, last_value"}
	lines := &rows{table: "points", columns: "chart, at_us, job, value, passes, pass"}
	for k, p := range points {
		c := &changes[k]
		charts.add(p.chart, string(p.key.measure), string(p.key.side), t.procedure, text(p.key.member), p.passes, c.sums.N, c.sums.Total, c.sums.Squares, c.sums.Ranges, c.sums.Products, c.first, c.last)
		lines.add(p.chart, p.at, t.id, p.value, p.passes, p.pass)
	}
	return errors.Join(w.insert(ctx, charts, onSums), w.insert(ctx, lines, ""))
}

// onSums adds what a point changes to the chart that is there.
const onSums = `ON CONFLICT (id) DO UPDATE SET passes = charts.passes + excluded.passes, n = charts.n + excluded.n, total = charts.total + excluded.total,
	squares = charts.squares + excluded.squares, ranges = charts.ranges + excluded.ranges, products = charts.products + excluded.products,
	first_value = coalesce(excluded.first_value, charts.first_value), last_value = coalesce(excluded.last_value, charts.last_value)`

// unplot takes the points of a job off their charts.
func (w *writing) unplot(ctx context.Context, job int64) error {
	points, err := w.pointsOf(ctx, job)
	if err != nil || len(points) == 0 {
		return err
	}
	changes, err := w.changes(ctx, points, job, -1)
	if err != nil {
		return err
	}
	for k, p := range points {
		c := &changes[k]
		_, err := w.tx.ExecContext(ctx, w.f.sql(`UPDATE charts SET passes = passes - $2, n = n + $3, total = total + $4, squares = squares + $5, ranges = ranges + $6,
			products = products + $7, first_value = coalesce($8, first_value), last_value = coalesce($9, last_value) WHERE id = $1`),
			p.chart, p.passes, c.sums.N, c.sums.Total, c.sums.Squares, c.sums.Ranges, c.sums.Products, c.first, c.last)
		if err != nil {
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

// change is what a point that comes, or goes, changes of its chart; first and last are nil
// where they stay what they are.
type change struct {
	sums        chart.Sums
	first, last *float64
}

// changes are those of the points of one job, which are not there yet or go; the neighbours
// are those in the order of time.
func (w *writing) changes(ctx context.Context, points []*point, job int64, sign int) ([]change, error) {
	var values strings.Builder
	args := []any{job}
	for k, p := range points {
		if k > 0 {
			values.WriteString(", ")
		}
		fmt.Fprintf(&values, "(%d, CAST($%d AS BIGINT), CAST($%d AS BIGINT))", k, len(args)+1, len(args)+2)
		args = append(args, p.chart, p.at)
	}
	all := make([]change, len(points))
	err := each(ctx, w.tx, w.f.sql(`WITH here (k, chart, at_us) AS (VALUES `+values.String()+`) SELECT k,
		(SELECT value FROM points p WHERE p.chart = here.chart AND (p.at_us, p.job) < (here.at_us, CAST($1 AS BIGINT)) ORDER BY p.at_us DESC, p.job DESC LIMIT 1),
		(SELECT value FROM points p WHERE p.chart = here.chart AND (p.at_us, p.job) > (here.at_us, CAST($1 AS BIGINT)) ORDER BY p.at_us, p.job LIMIT 1) FROM here`),
		args, func(rows *sql.Rows) error {
			var k int
			var before, after *float64
			err := rows.Scan(&k, &before, &after)
			if err == nil {
				all[k] = changed(before, points[k].value, after, sign)
			}
			return err
		})
	return all, err
}

func changed(before *float64, value float64, after *float64, sign int) (c change) {
	c.sums = chart.Between(before, value, after)
	first, last := &value, &value
	if sign < 0 {
		c.sums, first, last = c.sums.Minus(), after, before
	}
	if before == nil {
		c.first = first
	}
	if after == nil {
		c.last = last
	}
	return c
}
