package page

import (
	"arctally/analyze/finding"
	"arctally/report/page/live"
	"arctally/report/sheet"
)

// someLive has a value in every place.
func someLive() *live.State {
	x, n, s := new(1.5), new(2), new("measured")
	return &live.State{
		Record: theRecord, Title: "A", Job: "A", JobFile: "boom", Phase: live.Running, Zone: live.Zone{Words: "CET, UTC+01:00", Offset: 3600},
		Held: true, Last: &live.Last{Channels: []live.Channel{{Name: "voltage", Unit: "V", Value: x, State: live.NotJudged}}, Pass: &live.Pass{Number: 1}, Ended: x},
		Ending: &live.Ending{Words: "it waits"}, AlarmsMore: 3, LastEvents: []live.Event{{Number: 1, Cause: "wire slip", Findings: 2, Pass: 1, Angle: x, Depth: x, Sentence: "slow"}},
		Alarms: []live.Alarm{{ID: 1, Rule: "voltage", Sign: 1, Words: "too high", Value: x, Limit: x, Unit: "V", Began: sheet.Timestamp(morning), Lasted: 1, Pass: n, Layer: n, Turn: n, Angle: x, AngleUncertainty: x, Depth: x, Now: true}}, Trouble: &live.Trouble{Error: "the port went away", Hint: "plug it in"}, At: sheet.Timestamp(morning),
		Epoch: 1, TickNS: 5, Elapsed: 1, ArcOn: true, Steady: x, ArcTime: 1,
		Channels: []live.Channel{{Name: "voltage", Unit: "V", Value: x, Low: x, High: x, State: live.Within, Basis: s}, {Name: "gas_flow", Unit: "L/min", State: live.NotJudged}},
		Pass: &live.Pass{
			Number: 1, Layer: n, Pattern: s, Elapsed: x, ArcTime: x, Judged: "heat input", Unit: "kJ/mm", Value: x,
			Forecast: &live.Forecast{Value: x, Remaining: x, State: live.Near},
		},
		Place:      &live.Place{Turn: n, Turns: n, TurnIs: new("ring"), Layer: n, Layers: n, Angle: x, Depth: x, LayerDone: x},
		Deviations: []live.Deviation{{Rule: string(finding.Voltage), Words: "too high", Lasted: 1, Value: x, Limit: x, Unit: "V"}},
		Next:       &live.Next{Layer: 2, Diameter: x, RPM: x, LowRPM: x, HighRPM: x, PresentRPM: x},
		Ring:       []live.Cell{{From: 0, To: 5, Value: x, Arc: x, State: live.Outside, Finding: true}}, Gaps: []live.Gap{{From: 80, To: 116}},
		Bore: &live.Bore{Worn: x, Finish: x, WeldTo: x, Length: x, Layers: n}, Link: live.Link{State: live.LinkGood, Words: "all is well", Port: "/dev/a", Silent: x, Rate: x},
		Whose:  live.Whose{Words: "box B-0007", Change: new("another box measures"), Without: []string{"voltage"}},
		Boxes:  []live.Box{{Box: 0, Name: s, Serial: s, Link: live.Link{State: live.LinkGood}}, {Box: 1, Link: live.Link{State: live.LinkSilent}}},
		Counts: live.Counts{Passes: 1, Findings: 1}, LastFindings: []live.Finding{{Rule: "voltage", Pass: 1, Angle: x, Depth: x, Sentence: "too high"}}, DurableSamples: 7,
	}
}

func someStrip() live.Strip {
	return live.Strip{Record: theRecord, Epoch: 1, Step: 0.1, Lines: []live.StripLine{{
		Channel: "voltage", Unit: "V", At: []float64{0, 0.1}, Low: []*float64{new(1.0), nil}, High: []*float64{new(2.0), nil}, Mean: []*float64{new(1.5), nil},
	}}}
}
