package workshop

import (
	"context"
	"fmt"
	"path/filepath"
	"time"

	"arctally/cmd/internal/alljobs"
	"arctally/cmd/internal/files"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/review"
	"arctally/report/fleet"
	"arctally/report/page"
	"arctally/report/sheet"
)

// aboutAll answers about all jobs of the folder.
func (w *workshop) aboutAll() *alljobs.Jobs {
	return alljobs.New(w.reviews.ctx, alljobs.Options{
		Folder: w.folder.path, List: w.rowsOfAll, Now: w.screen.Now, Tell: func(text string) { w.screen.Tell("%s", text) },
		Judge: func(ctx context.Context, file string, told func(float64)) (*review.Review, error) {
			name := files.Stem(file)
			return w.reviews.alone(ctx, name, file, w.folder.stampOfRecord(name), told)
		},
	})
}

// rowsOfAll are the records of the folder as they are now.
func (w *workshop) rowsOfAll() (rows []alljobs.Row) {
	rec := w.busy()
	for _, r := range w.folder.records() {
		stamp := w.folder.stampOfRecord(r.Record)
		row := alljobs.Row{
			Record: r.Record, File: filepath.Join(w.folder.path, r.Record+jobfile.RecordExtension), Stamp: fmt.Sprint(stamp), Growing: stamp.logSize > 0,
			Recording: rec != nil && rec.Record() == r.Record,
		}
		if r.Error != nil {
			row.Wrong = *r.Error
		}
		if r.Hint != nil {
			row.Hint = *r.Hint
		}
		rows = append(rows, row)
	}
	return rows
}

// AllJobs implements page.Fleet.
func (w *workshop) AllJobs(ctx context.Context, r page.FleetRequest) (*page.FleetAnswer, *page.Judging, error) {
	answer := new(page.FleetAnswer)
	survey, share, err := w.all.Ask(ctx, quickReview, func(ctx context.Context, f *fleet.Fleet) error {
		return w.desks.looks.do(ctx, func() (err error) {
			return w.answered(ctx, f, r, answer)
		})
	})
	if survey == nil || err != nil {
		return nil, &page.Judging{Progress: share}, err
	}
	w.tellOf(survey, &answer.Of)
	answer.Here = answer.ReadHere(survey.Here)
	return answer, nil, nil
}

// answered has a question answered as the command fleet has it.
func (w *workshop) answered(ctx context.Context, f *fleet.Fleet, r page.FleetRequest, answer *page.FleetAnswer) (err error) {
	now := w.screen.Now()
	switch r.Question {
	case page.AskHeatInput:
		answer.Charts, err = f.Charts(ctx, fleet.HeatInput, r.By, r.Most)
	case page.AskArcOn:
		answer.Charts, err = f.Charts(ctx, fleet.ArcOn, r.By, r.Most)
	case page.AskProved:
		answer.Proved, err = f.Proved(ctx, r.Most)
	case page.AskOpen:
		answer.Open, err = f.Open(ctx, r.Most)
	case page.AskCalibrations:
		answer.Due, err = f.Calibrations(ctx, now, r.Days, r.Most)
	case page.AskSince:
		answer.Changes, err = f.Since(ctx, now.Add(-time.Duration(r.Days)*24*time.Hour), r.Most)
	default:
		panic("serve: a question that no page asks: " + string(r.Question))
	}
	return err
}

// tellOf says what the answers are of.
func (w *workshop) tellOf(survey *alljobs.Survey, of *page.FleetOf) {
	*of = page.FleetOf{
		Given: textOf(survey.Given), Passing: textOf(survey.Passing), Since: survey.Since, At: sheet.Timestamp(survey.At), Jobs: survey.Jobs, LeftOut: []page.FleetLeftOut{},
	}
	w.folder.outwards(of.Passing)
	for _, one := range survey.LeftOut {
		of.LeftOut = append(of.LeftOut, page.FleetLeftOut{
			Record: one.Record, State: string(one.State), Why: w.folder.outward(one.Why), Hint: textOf(w.folder.outward(one.Hint)),
		})
	}
}
