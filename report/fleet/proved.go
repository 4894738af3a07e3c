package fleet

import (
	"cmp"
	"context"
	"database/sql"
	"slices"
)

// Proved says how many passes are proved within, and what bars the others.
type Proved struct {
	Counted
	InAll      int               `json:"procedures_in_all"`
	Procedures []ProcedureProved `json:"procedures"` // those first of which most passes are not proved
}

// Counted is how many passes are proved. The share is null where nothing is known of any.
type Counted struct {
	Passes    int64    `json:"passes"`
	Proved    int64    `json:"proved"`
	NotProved int64    `json:"not_proved"`
	NotKnown  int64    `json:"not_known"` // the results do not say
	Share     *float64 `json:"share_proved_of_known"`
}

// ProcedureProved is the same of one procedure.
type ProcedureProved struct {
	Procedure
	Counted
	Bars []Bar `json:"barred_by"` // the most frequent first

	id int64
}

// Bar is what keeps passes from being proved, with the newest job in which it does.
type Bar struct {
	Kind   string `json:"kind"`
	Passes int64  `json:"passes"`
	Place
}

func (c *Counted) add(word string, n int64) {
	c.Passes += n
	switch word {
	case "proved":
		c.Proved += n
	case "not proved":
		c.NotProved += n
	default:
		c.NotKnown += n
	}
	if known := c.Proved + c.NotProved; known > 0 {
		c.Share = new(float64(c.Proved) / float64(known))
	}
}

// Proved answers how many passes are proved; most bounds the procedures that are told.
func (f *Fleet) Proved(ctx context.Context, most int) (*Proved, error) {
	answer := new(Proved)
	err := f.look(ctx, func(tx *sql.Tx) error {
		all, err := f.provedOf(ctx, tx, answer)
		if err != nil {
			return err
		}
		answer.InAll = len(all)
		slices.SortStableFunc(all, func(a, b ProcedureProved) int {
			return cmp.Or(cmp.Compare(b.NotProved+b.NotKnown, a.NotProved+a.NotKnown), compareText(a.Name, b.Name), cmp.Compare(a.id, b.id))
		})
		answer.Procedures = all[:min(most, len(all))]
		for k := range answer.Procedures {
			if err := f.barsOf(ctx, tx, &answer.Procedures[k]); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return answer, nil
}

func (f *Fleet) provedOf(ctx context.Context, tx *sql.Tx, answer *Proved) ([]ProcedureProved, error) {
	all, places := []ProcedureProved{}, map[int64]int{}
	err := each(ctx, tx, `SELECT t.procedure, p.name, p.definition, p.window_low_j_per_m, p.window_high_j_per_m, t.word, t.n FROM tallies t JOIN procedures p ON p.id = t.procedure
		WHERE t.question = 'proof' AND t.n <> 0`, nil, func(rows *sql.Rows) error {
		var one ProcedureProved
		var word string
		var n int64
		if err := rows.Scan(&one.id, &one.Name, &one.Definition, &one.WindowLow, &one.WindowHigh, &word, &n); err != nil {
			return err
		}
		one.inTradeUnits()
		place, known := places[one.id]
		if !known {
			place, places[one.id] = len(all), len(all)
			all = append(all, one)
		}
		all[place].add(word, n)
		answer.add(word, n)
		return nil
	})
	return all, err
}

func (f *Fleet) barsOf(ctx context.Context, tx *sql.Tx, p *ProcedureProved) error {
	p.Bars = []Bar{}
	err := each(ctx, tx, f.sql("SELECT word, n FROM tallies WHERE question = 'bar' AND procedure = $1 AND n <> 0 ORDER BY n DESC, word"), []any{p.id}, func(rows *sql.Rows) error {
		var b Bar
		err := rows.Scan(&b.Kind, &b.Passes)
		p.Bars = append(p.Bars, b)
		return err
	})
	for k := range p.Bars {
		if err != nil {
			return err
		}
		b := &p.Bars[k]
		err = tx.QueryRowContext(ctx, f.sql(`SELECT j.record, j.digest, j.simulated, b.pass FROM barred b JOIN jobs j ON j.id = b.job WHERE b.procedure = $1 AND b.kind = $2
			ORDER BY b.at_us DESC, b.job DESC LIMIT 1`), p.id, b.Kind).Scan(&b.Record, &b.Digest, &b.Simulated, &b.Pass)
		b.link()
	}
	return err
}

// compareText has what is not known first.
func compareText(a, b *string) int {
	if a == nil || b == nil {
		return cmp.Compare(btoi(a != nil), btoi(b != nil))
	}
	return cmp.Compare(*a, *b)
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}
