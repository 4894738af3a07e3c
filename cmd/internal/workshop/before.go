package workshop

import (
	"cmp"
	"context"
	"fmt"
	"os"

	"arctally/acquire"
	"arctally/acquire/calib"
	"arctally/acquire/system"
	"arctally/analyze"
	"arctally/analyze/procedure"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/recording"
	"arctally/report/page"
)

// Before implements page.Recording.
func (w *workshop) Before(ctx context.Context, record, job, portName string) (b page.Begin, err error) {
	p, err := w.folder.readJob(job)
	if err != nil {
		return b, err
	}
	b.Operator = p.People.Operator
	b.Points = append(w.hindrances(record, p), w.sensorPoints(p, page.StartRequest{Job: job, Port: portName})...)
	list, err := w.Checks(ctx, record)
	if err != nil {
		return b, err
	}
	for _, n := range analyze.Lacking(p.Job.Deposit.Pattern, p.Job.Instruments, list.Checks, w.screen.Now()) {
		b.Points = append(b.Points, pointOf(n))
	}
	if low, ok := w.folder.lowDisk(); ok {
		b.Points = append(b.Points, low)
	}
	for k := range b.Points {
		w.folder.outwards(&b.Points[k].Says, &b.Points[k].Hint)
	}
	return b, nil
}

// hindrances are what Start would refuse of the job and its record.
func (w *workshop) hindrances(record string, p *jobfile.File) []page.Point {
	holds, err := w.contents(record, p)
	if err == nil && holds == holdsNothing {
		err = p.Unsure()
	}
	return refusals(page.AboutJob, err)
}

// refusals is an error as a point; none where there is none.
func refusals(about page.PointAbout, err error) []page.Point {
	text, hint := told(err)
	if text == nil {
		return nil
	}
	point := page.Point{About: about, State: page.Stops, Says: *text}
	if hint != nil {
		point.Hint = *hint
	}
	return []page.Point{point}
}

// sensorPoints are the boxes that a recording would listen to in vain.
func (w *workshop) sensorPoints(p *jobfile.File, r page.StartRequest) (points []page.Point) {
	o := w.order(r)
	sensors, err := o.Sensors(p)
	if err != nil {
		return refusals(page.AboutSensor, err)
	}
	if w.box != nil && r.Port == "" {
		return nil
	}
	arc := w.arcSensor(sensors)
	for k, sensor := range sensors {
		if _, err := os.Stat(sensor.Port); err == nil {
			continue
		}
		point := page.Point{About: page.AboutSensor, State: page.Lacks, Says: "sensor box on " + sensor.Port + ": not plugged in", Hint: "it is waited for; what it measures is missing until it comes"}
		if k == arc {
			point.State, point.Hint = page.Stops, "plug it in, or choose the port that it is on"
		}
		points = append(points, point)
	}
	return points
}

// arcSensor is which of the sensors tells the arc.
func (w *workshop) arcSensor(sensors []procedure.Sensor) int {
	boxes := make([]acquire.Box, len(sensors))
	for k, s := range sensors {
		boxes[k], _ = recording.BoxOf(s, nil, w.screen.Now) // what is wrong with it the recording tells
	}
	for k, number := range acquire.Numbers(boxes) {
		if number == 0 {
			return k
		}
	}
	return 0
}

// withoutCheck is what it costs to go without a check.
var withoutCheck = map[calib.Subject]string{
	calib.ZeroCheck:     "without it, what the sensor shows at rest stays in every value",
	calib.MeterCheck:    "without it the uncertainty of a field instrument stands in, and no pass is proved",
	calib.WireCheck:     "without it nobody knows how far off the wire speed is",
	calib.RotationCheck: "without it the uncertainty of a field instrument stands in, and no pass is proved",
	calib.CentringCheck: "without it nobody knows whether the torch stands in the middle of the bore",
}

// pointOf is what a set-up lacks, as a person reads it.
func pointOf(n analyze.Need) page.Point {
	about := map[string]string{"": "torch in the middle of the bore", "wire_speed": "wire speed", "travel": "travel speed", "gas_flow": "gas flow"}[n.Channel]
	about = cmp.Or(about, n.Channel)
	point := page.Point{About: page.AboutCheck, Kind: string(n.Subject), State: page.Lacks, Hint: withoutCheck[n.Subject]}
	if n.Subject == calib.ZeroCheck {
		about = "zero of " + about
	}
	switch {
	case n.Due != "":
		point.State, point.Says, point.Hint = page.Doubts, about+": was due to be checked on "+n.Due, "have it checked again"
	case n.Subject == calib.MeterCheck, n.Subject == calib.RotationCheck:
		point.Says = about + ": not calibrated"
	default:
		point.Says = about + ": not checked"
	}
	return point
}

// leastDisk is the room below which it is doubted that a job fits on the disk: twelve
// hours of arc at 10 kHz take 0.6 GB. Ours, no source.
const leastDisk = 1e9

// lowDisk tells of a disk that is nearly full.
func (f *folder) lowDisk() (page.Point, bool) {
	free, err := system.Free(f.path)
	if err != nil {
		return page.Point{About: page.AboutDisk, State: page.Doubts, Says: "free disk: not known", Hint: err.Error()}, true
	}
	return lowOn(float64(free))
}

func lowOn(free float64) (page.Point, bool) {
	return page.Point{
		About: page.AboutDisk, State: page.Doubts, Says: fmt.Sprintf("free disk: %.0f MB", free/1e6),
		Hint: "twelve hours of arc take 600 MB; records that are handed over may go (arctally hand-over --remove)",
	}, free < leastDisk
}
