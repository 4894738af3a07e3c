package finding

import (
	"arctally/acquire/quantity"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// row is all that is said about one rule.
type row struct {
	rule Rule
	// limit takes the limit from the procedure, in SI units, or is one of ours. It
	// is nil where the plan of a pass, or the job's own good passes, set the limit.
	limit func(*procedure.Job) limits
	unit  Unit // of those who read metric units
	us    Unit // of those who read US units; left out, the same

	what  string                // what was judged, as a sentence begins; empty where the judge writes the sentence
	says  func(*Finding) string // the sentence where value and limit do not say it
	going string                // the same in short while it goes on, without a figure
	lasts bool                  // the sentence says for how long
	below string                // where a technician looks if the value is below its limit
	above string                // and if it is above
	cause string                // the likeliest cause
	vague bool                  // any other finding of the same time says it better
	wall  bool                  // a flaw of the wall can break the rule

	// How it is judged. Where nothing is set, a judge of its own knows the rule by name.
	mean  channel                                                               // by the mean over the procedure's window
	look  *lookRule                                                             // look by look at the waveform
	chart *chartRule                                                            // from pass to pass
	whole func(job *procedure.Job, p *pass.Pass, within limits) (Finding, bool) // once a pass is complete
}

// heard is the channel besides voltage and current by which a rule is found broken;
// unmeasured is none.
func (r *row) heard() channel {
	switch r.rule {
	case WireSlip, WireWithoutArc, VoltageOnly, CurrentOnly:
		return wireFeed
	}
	if r.mean == wireFeed || r.mean == gas {
		return r.mean
	}
	return unmeasured
}

// limits are a window of the procedure, in the SI unit of a rule, without its dimension.
type limits = quantity.Range[quantity.Ratio]

// plain drops the dimension of a window; the numbers stay in SI.
func plain[Q quantity.Quantity](r quantity.Range[Q]) limits {
	return limits{Low: quantity.Ratio(r.Low), High: quantity.Ratio(r.High), HasLow: r.HasLow, HasHigh: r.HasHigh}
}

// atMost are limits without a lower one.
func atMost[N quantity.Seconds | float64](high N) limits {
	return limits{High: quantity.Ratio(high), HasHigh: true}
}

// fixed is a limit that no procedure sets.
func fixed(high float64) func(*procedure.Job) limits {
	return func(*procedure.Job) limits { return atMost(high) }
}

// outside tells whether a value is out of its limits, and which one it passed.
func outside(value float64, within limits) (limit float64, out bool) {
	beyond := float64(within.Beyond(quantity.Ratio(value)))
	return value - beyond, beyond != 0
}
