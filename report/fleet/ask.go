package fleet

import (
	"context"
	"database/sql"
	"errors"
	"net/url"
	"path"
	"time"

	"arctally/analyze/procedure"
)

// Place leads from a number back to the job that it comes from.
type Place struct {
	Record string `json:"record"` // of a bundle with its folder, DIGEST/record.arctally
	Digest string `json:"digest"`
	Pass   *int   `json:"pass"`
	Review string `json:"review"` // the page of its review, where serve serves the folder of the record
	// Simulated: a virtual sensor box said some of it, so that its numbers are of no weld; null is not known.
	Simulated *bool `json:"simulated"`
}

// Mark is what stands behind the name of the record wherever it is told.
func (p Place) Mark() string {
	if p.Simulated != nil && *p.Simulated {
		return " (simulated)"
	}
	return ""
}

// Procedure is one procedure: another window makes another one. Null is not known, or no limit.
type Procedure struct {
	Name       *string  `json:"procedure"`
	Definition *string  `json:"definition"`
	WindowLow  *float64 `json:"window_low_kj_per_mm"`
	WindowHigh *float64 `json:"window_high_kj_per_mm"`
}

// JudgesArcEnergy tells whether it means the arc energy E by heat input, and not Q = k*E.
func (p *Procedure) JudgesArcEnergy() bool {
	return p.Definition != nil && procedure.Definition(*p.Definition) == procedure.ArcEnergy
}

func (p *Procedure) inTradeUnits() {
	p.WindowLow, p.WindowHigh = times(p.WindowLow, 1/kiloJoulesPerMM), times(p.WindowHigh, 1/kiloJoulesPerMM)
}

// link names the page of a review: #/record/NAME/pass/N.
func (p *Place) link() {
	name := path.Base(p.Record)
	if path.Ext(name) == recordEnding {
		name = name[:len(name)-len(recordEnding)]
	}
	p.Review = "#/record/" + url.PathEscape(name)
	if p.Pass != nil {
		p.Review += "/pass/" + itoa(int64(*p.Pass))
	}
}

const recordEnding = ".arctally"

// look answers a question from one state of the database.
func (f *Fleet) look(ctx context.Context, work func(*sql.Tx) error) error {
	options := &sql.TxOptions{ReadOnly: true}
	if f.engine == &postgres {
		options.Isolation = sql.LevelRepeatableRead
	}
	tx, err := f.db.BeginTx(ctx, options)
	if err != nil {
		return f.failed("begin", err)
	}
	err = work(tx)
	return errors.Join(f.failed("ask", err), ignoreDone(tx.Rollback()))
}

// dateOf is a moment as people and JSON have it, of Unix time in us.
func dateOf(us int64) time.Time { return time.UnixMicro(us).UTC() }
