package fleet

import (
	"cmp"
	"context"
	"database/sql"
	"math"
	"slices"
	"strconv"

	"arctally/report/sheet"
)

// Charts are the control charts of one measure by one side: individuals and their moving
// range, where an individual is the mean of the passes of one job, in the order of time.
type Charts struct {
	Measure Measure `json:"measure"`
	Side    Side    `json:"by"`
	Unit    string  `json:"unit"` // of every value
	InAll   int     `json:"charts_in_all"`
	Undated int64   `json:"jobs_without_a_date"` // which stand on no chart
	Charts  []Chart `json:"charts"`              // those first that need a look
}

// Chart is one of them; null is not known.
type Chart struct {
	Procedure
	Member    *string  `json:"member"` // box, operator or layer; null by procedure too
	Jobs      int64    `json:"jobs"`
	Passes    int64    `json:"passes"`
	Mean      *float64 `json:"mean"`
	MeanRange *float64 `json:"mean_moving_range"`
	Low       *float64 `json:"low_limit"`
	High      *float64 `json:"high_limit"`
	Widened   *float64 `json:"limits_widened_by"` // because each job resembles the one before it; 1 is not
	NoLimits  *string  `json:"no_limits"`         // why there are none; null where there are
	Outside   *int     `json:"jobs_outside"`
	OneSided  int      `json:"last_jobs_on_one_side"` // of the mean, in a row, up to the newest
	Signal    string   `json:"signal"`
	Newest    []Dot    `json:"newest"`   // oldest first
	Farthest  []Dot    `json:"farthest"` // of those outside

	id int64
	charted
}

// Dot is a job on a chart.
type Dot struct {
	Place
	At      string  `json:"at"`
	Value   float64 `json:"value"`
	Passes  int     `json:"passes"`
	Outside bool    `json:"outside"`
}

// The signals.
const (
	SignalOutside = "the newest job lies outside the limits"
	SignalOneSide = "8 or more jobs in a row on one side of the mean"
)

const (
	// inARow is how many jobs on one side of the mean are a signal: the rule of eight of the
	// zone tests that go by "Western Electric". Standing: memory.
	inARow = 8
	// newest is how many jobs of a chart are shown, and farthest how many that lie outside.
	newest   = 30
	farthest = 5
)

const (
	tooFew     = "fewer than 8 jobs"
	resembling = "each job resembles the one before it too much"
)

// Charts answers how a measure runs, by one side; most bounds the charts that are told.
func (f *Fleet) Charts(ctx context.Context, measure Measure, side Side, most int) (*Charts, error) {
	answer := &Charts{Measure: measure, Side: side, Unit: "kJ/mm"}
	if measure == ArcOn {
		answer.Unit = "1"
	}
	err := f.look(ctx, func(tx *sql.Tx) error {
		err := f.needy(ctx, tx, answer, most)
		if err != nil {
			return err
		}
		for k := range answer.Charts {
			if err := f.fill(ctx, tx, &answer.Charts[k]); err != nil {
				return err
			}
		}
		return tx.QueryRowContext(ctx, "SELECT coalesce(sum(n), 0) FROM tallies WHERE question = 'undated'").Scan(&answer.Undated)
	})
	if err != nil {
		return nil, err
	}
	for k := range answer.Charts {
		answer.Charts[k].inUnit(measure)
	}
	return answer, nil
}

// needy finds those charts first whose newest job lies farthest out, then those of most jobs.
func (f *Fleet) needy(ctx context.Context, tx *sql.Tx, answer *Charts, most int) error {
	const which = "FROM charts c JOIN procedures p ON p.id = c.procedure WHERE c.measure = $1 AND c.side = $2 AND c.need IS NOT NULL"
	args := []any{string(answer.Measure), string(answer.Side)}
	if err := tx.QueryRowContext(ctx, f.sql("SELECT count(*) FROM charts c WHERE c.measure = $1 AND c.side = $2 AND c.need IS NOT NULL"), args...).Scan(&answer.InAll); err != nil {
		return err
	}
	answer.Charts = []Chart{}
	return each(ctx, tx, f.sql(`SELECT c.id, p.name, p.definition, p.window_low_j_per_m, p.window_high_j_per_m, c.member, c.passes, c.n, c.total, c.squares, c.ranges, c.products, c.first_value, c.last_value `+
		which+" ORDER BY c.need DESC, c.n DESC, c.id LIMIT $3"), append(args, most), func(rows *sql.Rows) error {
		var c Chart
		err := rows.Scan(&c.id, &c.Name, &c.Definition, &c.WindowLow, &c.WindowHigh, &c.Member, &c.charted.passes, &c.sums.N, &c.sums.Total, &c.sums.Squares, &c.sums.Ranges, &c.sums.Products, &c.first, &c.last)
		if err == nil {
			c.inTradeUnits()
			c.told()
			answer.Charts = append(answer.Charts, c)
		}
		return err
	})
}

// told puts what the sums tell into the answer.
func (c *Chart) told() {
	c.Jobs, c.Passes, c.Mean, c.MeanRange = c.sums.N, c.charted.passes, sheet.Known(c.sums.Mean()), sheet.Known(c.sums.MeanRange())
	var why string
	if c.Low, c.High, c.Widened, why = c.limits(); why != "" {
		c.NoLimits = &why
	}
}

const dots = "SELECT q.at_us, q.value, q.passes, q.pass, j.record, j.digest, j.simulated FROM points q JOIN jobs j ON j.id = q.job WHERE q.chart = $1"

// fill finds the jobs of a chart that are told.
func (f *Fleet) fill(ctx context.Context, tx *sql.Tx, c *Chart) (err error) {
	if c.Newest, err = f.dots(ctx, tx, c, dots+" ORDER BY q.at_us DESC, q.job DESC LIMIT $2", newest); err != nil {
		return err
	}
	slices.Reverse(c.Newest)
	c.oneSided()
	c.Farthest = []Dot{}
	if c.Low == nil {
		return nil
	}
	outside := 0
	if err := tx.QueryRowContext(ctx, f.sql(`SELECT (SELECT count(*) FROM points WHERE chart = $1 AND value < $2) + (SELECT count(*) FROM points WHERE chart = $1 AND value > $3)`),
		c.id, *c.Low, *c.High).Scan(&outside); err != nil {
		return err
	}
	c.Outside = &outside
	if outside == 0 {
		return nil
	}
	below, err := f.dots(ctx, tx, c, dots+" AND q.value < $3 ORDER BY q.value LIMIT $2", farthest, *c.Low)
	if err != nil {
		return err
	}
	above, err := f.dots(ctx, tx, c, dots+" AND q.value > $3 ORDER BY q.value DESC LIMIT $2", farthest, *c.High)
	c.Farthest = append(below, above...)
	slices.SortStableFunc(c.Farthest, func(a, b Dot) int {
		return cmp.Compare(math.Abs(b.Value-*c.Mean), math.Abs(a.Value-*c.Mean))
	})
	c.Farthest = c.Farthest[:min(farthest, len(c.Farthest))]
	return err
}

func (f *Fleet) dots(ctx context.Context, tx *sql.Tx, c *Chart, query string, more ...any) (all []Dot, err error) {
	err = each(ctx, tx, f.sql(query), append([]any{c.id}, more...), func(rows *sql.Rows) error {
		var d Dot
		var at int64
		err := rows.Scan(&at, &d.Value, &d.Passes, &d.Pass, &d.Record, &d.Digest, &d.Simulated)
		d.At = sheet.Timestamp(dateOf(at))
		d.Outside = c.Low != nil && (d.Value < *c.Low || d.Value > *c.High)
		d.link()
		all = append(all, d)
		return err
	})
	return all, err
}

// oneSided counts the newest jobs on one side of the mean, and tells the signal.
func (c *Chart) oneSided() {
	side := func(d *Dot) int { return cmp.Compare(d.Value, *c.Mean) }
	for k := len(c.Newest) - 1; k >= 0 && side(&c.Newest[k]) != 0 && side(&c.Newest[k]) == side(&c.Newest[len(c.Newest)-1]); k-- {
		c.OneSided++
	}
	switch {
	case c.Low == nil:
	case len(c.Newest) > 0 && c.Newest[len(c.Newest)-1].Outside:
		c.Signal = SignalOutside
	case c.OneSided >= inARow:
		c.Signal = SignalOneSide
	}
}

// inUnit brings the values from those of the columns to those of the answer.
func (c *Chart) inUnit(measure Measure) {
	if measure != HeatInput {
		return
	}
	for _, v := range []*float64{c.Mean, c.MeanRange, c.Low, c.High} {
		if v != nil {
			*v = *times(v, 1/kiloJoulesPerMM)
		}
	}
	for _, list := range [][]Dot{c.Newest, c.Farthest} {
		for k := range list {
			list[k].Value = *times(&list[k].Value, 1/kiloJoulesPerMM)
		}
	}
}

// The decimals with which a value of a chart is told.
const (
	fewestDecimals = 3
	mostDecimals   = 7
)

// Decimals are as many as tell its mean and its limits apart: printed alike, a job between them lies nowhere.
func (c *Chart) Decimals() int { return decimalsOf(c.Mean, c.Low, c.High) }

// DecimalsOf are as many as tell a job that is outside from the limits too.
func (c *Chart) DecimalsOf(d *Dot) int {
	if !d.Outside {
		return c.Decimals()
	}
	return decimalsOf(c.Mean, c.Low, c.High, &d.Value)
}

func decimalsOf(all ...*float64) int {
	values := map[float64]bool{}
	for _, v := range all {
		if v != nil {
			values[*v] = true
		}
	}
	for decimals := fewestDecimals; decimals < mostDecimals; decimals++ {
		told := map[string]bool{}
		for v := range values {
			told[sheet.Digits(&v, decimals)] = true
		}
		if len(told) == len(values) {
			return decimals
		}
	}
	return mostDecimals
}

func itoa(n int64) string { return strconv.FormatInt(n, 10) }
