package live

import (
	"slices"
	"time"

	"arctally/analyze/finding"
	"arctally/report/sheet"
)

const (
	listed     = 12  // alarms that a page is told of, and all that are out at the moment
	keptAlarms = 200 // that wait for somebody to see them; the oldest beyond are only counted

	// leastAlarm is for how long, in s, something must be out to be an alarm before it is a
	// finding. Ours, no source: what is shorter, nobody could have read.
	leastAlarm = 0.3
)

// cause tells alarms apart: what is out, and since when.
type cause struct {
	rule  string
	epoch int
	since int64 // tick; of a box its number
}

// keptAlarm is an alarm as it is kept.
type keptAlarm struct {
	Alarm
	cause cause
	until int64     // tick at which it was last out
	worst *float64  // value that it was worst at
	state LinkState // of a box
	open  bool      // it may still go on: it is out, or waits for the arc to come back
}

// latch keeps what is out, and what was, until somebody has seen it.
type latch struct {
	kept []*keptAlarm // oldest first
	last int64        // newest id
	lost int          // untouched ones that are only counted
}

// find returns the alarm of a cause, nil where there is none.
func (l *latch) find(c cause) *keptAlarm {
	for _, a := range l.kept {
		if a.cause == c {
			return a
		}
	}
	return nil
}

// overlaps returns the newest alarm of a rule that was out in a stretch of time.
func (l *latch) overlaps(rule string, epoch int, from, until int64) *keptAlarm {
	for _, a := range slices.Backward(l.kept) {
		if a.cause.rule == rule && a.cause.epoch == epoch && a.cause.since <= until && from <= a.until {
			return a
		}
	}
	return nil
}

// add keeps a new alarm.
func (l *latch) add(c cause, began time.Time) *keptAlarm {
	l.last++
	a := &keptAlarm{cause: c, until: c.since, Alarm: Alarm{ID: l.last, Rule: c.rule, Began: sheet.Timestamp(began)}}
	l.kept = append(l.kept, a)
	if len(l.kept) > keptAlarms {
		k := max(0, slices.IndexFunc(l.kept, func(a *keptAlarm) bool { return !a.open }))
		if !l.kept[k].Seen {
			l.lost++
		}
		l.kept = slices.Delete(l.kept, k, k+1)
	}
	return a
}

// rest says that nothing is out until it is said anew.
func (l *latch) rest(of func(*keptAlarm) bool) {
	for _, a := range l.kept {
		if of(a) {
			a.Now, a.open = false, false
		}
	}
}

// settle takes away what is over and was seen, and shows of what is over the worst.
func (l *latch) settle() {
	l.kept = slices.DeleteFunc(l.kept, func(a *keptAlarm) bool { return a.Seen && !a.open })
	for _, a := range l.kept {
		if !a.Now && a.worst != nil {
			a.Value = a.worst
		}
	}
}

// seen says that a person has seen alarms, and with more all that are not listed.
func (l *latch) seen(ids []int64, more bool) {
	shown, _ := l.list()
	for _, a := range l.kept {
		hidden := !slices.ContainsFunc(shown, func(s Alarm) bool { return s.ID == a.ID })
		a.Seen = a.Seen || slices.Contains(ids, a.ID) || more && hidden
	}
	if more {
		l.lost = 0
	}
	l.settle()
}

// list returns what a page is told of, newest first, and how many more are untouched. What is
// out at the moment is always told.
func (l *latch) list() (shown []Alarm, more int) {
	shown, more = []Alarm{}, l.lost
	out := 0
	for _, a := range l.kept {
		if a.Now {
			out++
		}
	}
	room := max(0, listed-out)
	for _, a := range slices.Backward(l.kept) {
		switch {
		case a.Now:
			shown = append(shown, a.Alarm)
		case a.Seen: // it waits for the arc, and comes back with it
		case room > 0:
			room--
			shown = append(shown, a.Alarm)
		default:
			more++
		}
	}
	return shown, more
}

// ofBox tells whether an alarm is of the way from a box.
func ofBox(a *keptAlarm) bool { return a.Rule == linkRule }

// ofArc tells whether an alarm is of what the arc does.
func ofArc(a *keptAlarm) bool { return !ofBox(a) && !ofRecorder(a) }

// ofRecorder tells whether an alarm is of the program that records, and of its disk.
func ofRecorder(a *keptAlarm) bool { return a.Rule == recorderRule || a.Rule == diskRule }

// linkRule is the rule of a box that is not heard well.
const linkRule = "link"

// The rules of what endangers the recording itself.
const (
	recorderRule = "recorder"
	diskRule     = "disk"
)

// going is what a deviation in progress says of itself.
func going(d *finding.Open) string {
	if words := d.Going(); words != "" {
		return words
	}
	return against(d.Rule, d.Value, d.Limit)
}

// against is a value of a rule and its limit, in words.
func against(rule finding.Rule, value, limit float64) string {
	said, held := sheet.MeasureOf(rule, sheet.Metric).InWords(value, limit)
	return sheet.Spaced(string(rule)) + " " + said + ", limit " + held
}
