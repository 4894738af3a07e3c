package sheet

import (
	"io"

	"arctally/acquire/quantity"
	"arctally/analyze/plan"
	"arctally/analyze/procedure"
	"arctally/analyze/thermal"
)

// PlanSheet is a plan ready to be shown.
type PlanSheet struct {
	Job  *procedure.Job
	Plan *plan.Plan
}

// NewPlan joins a plan with the job that it was made for. It panics without either.
func NewPlan(job *procedure.Job, p *plan.Plan) *PlanSheet {
	if job == nil || p == nil {
		panic("sheet: a plan without its job")
	}
	return &PlanSheet{job, p}
}

// PlanLayerRow is one layer of a plan in trade units; null is not known.
type PlanLayerRow struct {
	Layer         int      `json:"layer"`
	Diameter      *float64 `json:"diameter_mm"`
	Rotation      *float64 `json:"speed_rpm"`
	TravelSpeed   *float64 `json:"travel_speed_mm_min"`
	Turns         *float64 `json:"turns"`
	ArcTime       *float64 `json:"arc_time_s"`
	Thickness     *float64 `json:"thickness_mm"`
	ArcEnergy     *float64 `json:"arc_energy_kj_per_mm"`
	HeatInput     *float64 `json:"heat_input_kj_per_mm"`
	Cooling       *float64 `json:"t85_s"`
	Regime        *string  `json:"t85_regime"`
	LeastRotation *float64 `json:"speed_low_rpm"` // with the next one: what keeps the travel in its window
	MostRotation  *float64 `json:"speed_high_rpm"`
	BeadArea      *float64 `json:"bead_area_mm2"`
	Elapsed       *float64 `json:"elapsed_s"`
	Warmest       *float64 `json:"t85_at_interpass_limit_s"`
}

// CarbonRow is the carbon equivalents in mass %.
type CarbonRow struct {
	IIW *float64 `json:"iiw"`
	CET *float64 `json:"cet"`
	Pcm *float64 `json:"pcm"`
}

// PlanBeadRow is how beads lie side by side.
type PlanBeadRow struct {
	Width       *float64 `json:"width_mm"`
	Basis       *string  `json:"width_basis"` // measured | estimated
	Overlap     *float64 `json:"overlap"`
	WidestPitch *float64 `json:"widest_pitch_mm"`
}

// PlanShortRow is what the layers leave where another whole one is not worth it.
type PlanShortRow struct {
	Missing *float64     `json:"missing_mm"`       // on a side
	Another *float64     `json:"another_layer_mm"` // how thick it would be
	Ways    []PlanWayRow `json:"ways"`
}

// PlanWayRow is a set-point by which the layers that there are reach; null stays as it is.
type PlanWayRow struct {
	Pitch       *float64 `json:"pitch_mm"`
	TravelSpeed *float64 `json:"travel_speed_mm_min"`
	Rotation    *float64 `json:"speed_rpm"`
	Turns       *float64 `json:"turns"`
	Final       *float64 `json:"final_diameter_mm"`
	HeatInput   *float64 `json:"heat_input_kj_per_mm"` // by the definition of the procedure
}

// PlanWarningRow is one doubt about a plan; a layer of null is the whole plan.
type PlanWarningRow struct {
	Kind  string `json:"kind"`
	Layer *int   `json:"layer"`
	Text  string `json:"text"`
}

// PlanList is the object of "plan --json".
type PlanList struct {
	Job         string           `json:"job"`
	Procedure   string           `json:"procedure"`
	Definition  string           `json:"definition"` // what the procedure means by heat input
	Layers      []PlanLayerRow   `json:"layers"`
	Wire        *float64         `json:"wire_m"`
	WireMass    *float64         `json:"wire_kg"`
	Deposit     *float64         `json:"deposit_kg"`
	Gas         *float64         `json:"gas_l"`
	ArcTime     *float64         `json:"arc_time_s"`
	Elapsed     *float64         `json:"elapsed_s"`
	Carbon      CarbonRow        `json:"carbon"`
	Preheat     *float64         `json:"preheat_c"` // null where none is asked for, too: the basis tells
	PreheatFrom string           `json:"preheat_basis"`
	WeldTo      *float64         `json:"weld_to_mm"`
	Final       *float64         `json:"final_diameter_mm"`
	Allowance   *float64         `json:"machining_allowance_mm"` // on a side
	Wall        *float64         `json:"t85_from_c"`
	WallBasis   string           `json:"t85_from_basis"`
	PreheatZone *float64         `json:"preheat_zone_mm"`
	Bead        PlanBeadRow      `json:"bead"`
	Short       *PlanShortRow    `json:"short"`
	Warnings    []PlanWarningRow `json:"warnings"`
}

// List returns the plan as rows.
func (s *PlanSheet) List() PlanList {
	p := s.Plan
	list := PlanList{
		Job: s.Job.Name, Procedure: s.Job.Procedure.Name, Definition: string(s.Job.Procedure.Judge.Definition),
		Layers: make([]PlanLayerRow, 0, len(p.Layers)), Warnings: make([]PlanWarningRow, 0, len(p.Warnings)),
		Wire: Plain(&p.Wire), WireMass: Plain(&p.WireMass), Deposit: Plain(&p.Deposit), Gas: In(p.Gas, "L"),
		ArcTime: Plain(&p.ArcTime), Elapsed: Plain(&p.Elapsed), Carbon: carbonRow(p.Carbon), Preheat: Plain(p.Preheat), PreheatFrom: PreheatBasis(p),
		WeldTo: In(&p.WeldTo, "mm"), Final: In(&p.Final, "mm"), Allowance: In(p.Allowance, "mm"),
		Wall: Plain(&p.Wall), WallBasis: p.WallRestsOn, Bead: beadRow(p.Bead), Short: shortRow(p.Short),
	}
	if p.PreheatZone > 0 {
		list.PreheatZone = In(&p.PreheatZone, "mm")
	}
	for i := range p.Layers {
		list.Layers = append(list.Layers, planLayerRow(&p.Layers[i]))
	}
	for _, w := range p.Warnings {
		list.Warnings = append(list.Warnings, PlanWarningRow{w.Kind, positive(w.Layer), w.Text})
	}
	return list
}

// PreheatBasis says where the preheat is from, or why there is none.
func PreheatBasis(p *plan.Plan) string {
	switch {
	case p.NoPreheat:
		return "none by EN 1011-2 method B"
	case p.Preheat == nil:
		return "not computed"
	default:
		return "EN 1011-2 method B"
	}
}

func shortRow(s *plan.Short) *PlanShortRow {
	if s == nil {
		return nil
	}
	row := &PlanShortRow{Missing: In(&s.Missing, "mm"), Another: In(&s.Another, "mm"), Ways: []PlanWayRow{}}
	for k := range s.Ways {
		w := &s.Ways[k]
		row.Ways = append(row.Ways, PlanWayRow{
			Pitch: changed(w.Pitch, "mm"), TravelSpeed: changed(w.Travel, "mm/min"), Rotation: changed(w.Rotation, "rpm"),
			Turns: Finite(&w.Turns), Final: In(&w.Final, "mm"), HeatInput: In(w.HeatInput, "kJ/mm"),
		})
	}
	return row
}

// changed is a set-point of a way, nil where it stays as it is.
func changed[Q quantity.Quantity](set Q, unit string) *float64 {
	if set == 0 {
		return nil
	}
	return In(&set, unit)
}

func planLayerRow(l *plan.Layer) PlanLayerRow {
	row := PlanLayerRow{
		Layer: l.Number, Diameter: In(&l.Diameter, "mm"), Rotation: In(&l.Rotation, "rpm"),
		TravelSpeed: In(&l.Travel, "mm/min"), Turns: Finite(&l.Turns), ArcTime: Plain(&l.ArcTime),
		Thickness: In(&l.Thickness, "mm"), ArcEnergy: In(l.ArcEnergy, "kJ/mm"), HeatInput: In(l.HeatInput, "kJ/mm"),
		BeadArea: In(&l.BeadArea, "mm2"), Elapsed: Plain(&l.Elapsed),
	}
	row.Cooling, row.Regime = CoolingOf(l.Cooling)
	row.Warmest, _ = CoolingOf(l.Warmest)
	if l.Window.HasLow {
		row.LeastRotation = In(&l.Window.Low, "rpm")
	}
	if l.Window.HasHigh {
		row.MostRotation = In(&l.Window.High, "rpm")
	}
	return row
}

// CoolingOf gives the time from 800 to 500 degC in seconds, and which regime it is in.
func CoolingOf(c *thermal.Cooling) (seconds *float64, regime *string) {
	if c == nil {
		return nil, nil
	}
	return Plain(&c.Time), word(string(c.Regime))
}

func carbonRow(c *thermal.CarbonEquivalents) CarbonRow {
	if c == nil {
		return CarbonRow{}
	}
	iiw, cet, pcm := float64(c.IIW), float64(c.CET), float64(c.Pcm)
	return CarbonRow{Known(iiw), Known(cet), Known(pcm)}
}

func beadRow(b plan.Bead) PlanBeadRow {
	if b.Width == 0 {
		return PlanBeadRow{}
	}
	basis := "estimated"
	if b.Measured {
		basis = "measured"
	}
	return PlanBeadRow{In(&b.Width, "mm"), word(basis), Plain(&b.Overlap), In(&b.WidestPitch, "mm")}
}

// JSON writes the plan as JSON, in full precision.
func (s *PlanSheet) JSON(w io.Writer) error { return writeJSON(w, s.List()) }
