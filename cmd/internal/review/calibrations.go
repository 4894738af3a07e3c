package review

import (
	"arctally/acquire/calib"
	"arctally/acquire/record"
	"arctally/analyze"
	"arctally/cmd/internal/jobfile"
)

// fromTheStart are calibrations that hold for all of a record.
func fromTheStart(calibrations []calib.Calibration) []calib.Timed {
	timed := make([]calib.Timed, len(calibrations))
	for k, c := range calibrations {
		timed[k] = calib.Timed{Calibration: c}
	}
	return timed
}

// LaterCalibrations returns what a record has beside the calibrations of the job
// that it was made under, which stand at its beginning.
func LaterCalibrations(reader *record.Reader, own *jobfile.File) ([]calib.Timed, error) {
	recorded, err := reader.Calibrations()
	if err != nil {
		return nil, err
	}
	for _, c := range own.Job.Instruments {
		c.Freedom, c.Box = 0, "" // the record has no column for them
		if len(recorded) > 0 && recorded[0] == (calib.Timed{Calibration: c}) {
			recorded = recorded[1:]
		}
	}
	return recorded, nil
}

// Calibrate tells an analysis of calibrations before it sees what they hold for.
func Calibrate(run *analyze.Run, later []calib.Timed) {
	for _, c := range later {
		run.Calibrate(c.Calibration, c.Epoch, c.Tick)
	}
}
