package analyze

import (
	"fmt"
	"slices"
	"strings"

	"arctally/acquire/series"
	"arctally/analyze/pass"
)

// boxWarning is the kind of a warning about who measured.
const boxWarning = "box"

// ofBoxes tells where another box measured from then on, and where nobody had said who
// he was.
func (r *Run) ofBoxes() []Warning {
	var all []Warning
	last := map[string]string{} // by channel, the last box that was named
	for k := range r.instruments.heard {
		source := &r.instruments.speakers[k].Source
		if source.Port == "" {
			continue // a capture, or told of all at once
		}
		texts := map[string][]string{} // by text, the channels
		var order []string
		for _, c := range source.Channels {
			own := source.OwnerOf(c)
			text := becomes(last[c.Name], own)
			if series.IsNamed(own) {
				last[c.Name] = own
			}
			if text != "" && !slices.Contains(order, text) {
				order = append(order, text)
			}
			texts[text] = append(texts[text], c.Name)
		}
		at := r.instruments.heard[k]
		for _, text := range order {
			all = append(all, Warning{
				Kind: boxWarning, Pass: r.passAt(at.Epoch, at.Tick, at.Tick), Start: at, End: at, Count: 1,
				Text: text + r.uncalibrated(texts[text], at),
			})
		}
	}
	return all
}

// becomes says how a box takes the place of the last one that was named.
func becomes(last, own string) string {
	switch {
	case last == "" || last == own:
		return ""
	case series.IsNamed(own):
		return fmt.Sprintf("another box measures from here on: %s in place of %s; what is bound to the former corrects nothing of it", series.Who(own), series.Who(last))
	default:
		return fmt.Sprintf("from here on it is not known whether it is still %s that measures, but %s: what is bound to a box corrects nothing of it", series.Who(last), series.Who(own))
	}
}

// uncalibrated names the channels whose calibrations are all of other boxes from a place
// on.
func (r *Run) uncalibrated(channels []string, at pass.Moment) string {
	var without []string
	for _, c := range channels {
		if r.instruments.elsewhere(c, at) != "" {
			without = append(without, c)
		}
	}
	if without == nil {
		return ""
	}
	return "; no calibration: " + strings.Join(without, ", ")
}

// ofUnboundBoxes tells where a program that bound nothing recorded more than one box.
func (r *Run) ofUnboundBoxes(add addWarning) {
	var boxes []string
	for k := range r.instruments.heard {
		source := &r.instruments.speakers[k].Source
		if own := source.Identity(); source.Port == "" && series.IsNamed(own) && !slices.Contains(boxes, own) {
			boxes = append(boxes, own)
		}
	}
	if len(boxes) > 1 {
		add(boxWarning, int64(len(boxes)), "%d boxes speak in this record, %s, and it was made by a program that bound no calibration to a box: "+
			"those that name none correct all of them, as they did when it was made", len(boxes), strings.Join(boxes, ", "))
	}
}
