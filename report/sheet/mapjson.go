package sheet

import (
	"io"
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
)

// MapCell is one cell of the map; null is not known.
type MapCell struct {
	Angle      float64  `json:"angle_deg"` // where it begins
	Depth      float64  `json:"depth_mm"`
	Energy     *float64 `json:"energy_j"`
	ArcTime    *float64 `json:"arc_time_s"`
	Unseen     *float64 `json:"without_data_s"`
	Path       *float64 `json:"path_mm"`
	ArcEnergy  *float64 `json:"arc_energy_kj_per_mm"`
	HeatInput  *float64 `json:"heat_input_kj_per_mm"`
	Volume     *float64 `json:"volume_mm3"`
	Height     *float64 `json:"height_mm"`
	Stock      *float64 `json:"stock_mm"`
	WeldedPart float64  `json:"planned_share"` // of the cell that the plan welds
	BesideGap  bool     `json:"beside_gap"`    // then it is not judged
	Findings   int      `json:"findings"`
}

// MapSum is what lies outside the cells.
type MapSum struct {
	Energy  *float64 `json:"energy_j"`
	ArcTime *float64 `json:"arc_time_s"`
	Path    *float64 `json:"path_mm"`
	Volume  *float64 `json:"volume_mm3"`
}

// MapPatch is where more metal is needed.
type MapPatch struct {
	FromAngle  float64  `json:"from_deg"`
	ToAngle    float64  `json:"to_deg"` // clockwise from FromAngle; 0 to 360 is all round
	FromDepth  float64  `json:"from_mm"`
	ToDepth    float64  `json:"to_mm"`
	LeastStock *float64 `json:"least_stock_mm"`
	Angle      float64  `json:"angle_deg"`
	Depth      float64  `json:"depth_mm"`
	Cells      int      `json:"cells"`
}

// MapCleanUp is the answer whether the bore will clean up.
type MapCleanUp struct {
	Answer       *string    `json:"answer"` // enough, not seen, doubtful, too little
	Why          *string    `json:"why"`    // why there is none
	LeastStock   *float64   `json:"least_stock_mm"`
	Angle        *float64   `json:"angle_deg"`
	Depth        *float64   `json:"depth_mm"`
	Eccentricity *float64   `json:"eccentricity_mm"`
	Margin       *float64   `json:"margin_mm"`
	Expanded     *float64   `json:"margin_expanded_uncertainty_mm"`
	Judged       int        `json:"cells_judged"`
	BesideGap    int        `json:"cells_beside_gap"`
	Short        []MapPatch `json:"more_metal"`
	Unseen       []MapPatch `json:"without_data"`
	Sentence     string     `json:"sentence"`
}

// MapView is one quantity of the wall, of one layer or of all.
type MapView struct {
	Of      string     `json:"of"`    // build-up, heat, arc-on
	Layer   *int       `json:"layer"` // null is all of them: the worst of each cell
	Title   string     `json:"title"`
	Unit    string     `json:"unit"` // of the values and limits; "1" is a pure number
	Low     *float64   `json:"low"`
	High    *float64   `json:"high"`
	Values  []*float64 `json:"values"`  // cell by cell, null where not known
	Classes string     `json:"classes"` // a letter for each cell, as in keys
	Keys    []MapKey   `json:"keys"`    // those that there are
}

// MapKey is a class of cells, in the words of a reader.
type MapKey struct {
	Class  string `json:"class"`
	Metric string `json:"metric"`
	US     string `json:"us"`
}

// MapObject is the whole map.
type MapObject struct {
	Record       string     `json:"record"`
	Job          string     `json:"job"`
	AngleStep    float64    `json:"angle_step_deg"`
	DepthStep    float64    `json:"depth_step_mm"`
	Columns      int        `json:"columns"`
	Rows         int        `json:"rows"`
	Fall         float64    `json:"fall_per_turn_mm"` // how much deeper a bead comes with each turn
	WireMeasured *float64   `json:"wire_measured_m"`
	WireDeclared *float64   `json:"wire_declared_m"`
	WireUnknown  *float64   `json:"arc_time_without_wire_s"`
	Cells        []MapCell  `json:"cells"` // row by row
	Views        []MapView  `json:"views"`
	Beyond       MapSum     `json:"beyond"`
	CleanUp      MapCleanUp `json:"clean_up"`
}

// MapJSON writes the unrolled map in full precision. The error is ErrNoMap where
// there is none.
func (s *Sheet) MapJSON(w io.Writer, eccentricity quantity.Metres) error {
	if s.Wall == nil {
		return ErrNoMap
	}
	return writeJSON(w, s.mapObject(eccentricity))
}

func (s *Sheet) mapObject(eccentricity quantity.Metres) *MapObject {
	m, process := s.Wall, s.Job.Procedure.Process
	o := &MapObject{
		Record: s.Record, Job: s.Job.Name, AngleStep: float64(m.AngleStep), DepthStep: *In(&m.DepthStep, "mm"),
		Columns: m.Columns, Rows: m.Rows, Fall: quantity.In(s.Job.Deposit.FallPerTurn(), "mm"), WireMeasured: Plain(&m.WireMeasured), WireDeclared: Plain(&m.WireDeclared),
		WireUnknown: Plain(&m.WireUnknown), CleanUp: cleanUpRow(m.CleanUp(m.NewAllowance(eccentricity))),
		Beyond: MapSum{
			Energy: Plain(&m.Beyond.Energy), ArcTime: Plain(&m.Beyond.ArcTime), Path: In(&m.Beyond.Path, "mm"), Volume: Known(m.Beyond.Volume * 1e9),
		},
	}
	for _, v := range s.WallViews(eccentricity) {
		o.Views = append(o.Views, v.row())
	}
	for row := range m.Rows {
		for column := range m.Columns {
			o.Cells = append(o.Cells, mapCell(m, process, row, column))
		}
	}
	return o
}

func (v *WallView) row() MapView {
	l := v.look()
	one := MapView{Of: l.Of, Layer: l.Layer, Title: l.Title, Unit: l.Unit, Low: l.Low, High: l.High, Values: make([]*float64, len(v.Values)), Classes: l.Classes, Keys: l.Keys}
	for at, value := range v.Values {
		one.Values[at] = v.figure(value)
	}
	return one
}

// look is a view without its values.
func (v *WallView) look() MapLook {
	title, unit := v.Text(Metric)
	one := MapLook{Of: string(v.Of), Layer: positive(v.Number), Title: title, Unit: unit.Name, Low: v.figure(v.Limits.Low), High: v.figure(v.Limits.High)}
	if unit.Name == "" {
		one.Unit = "1"
	}
	letters := make([]byte, len(v.Classes))
	for at, class := range v.Classes {
		letters[at] = byte(class)
	}
	one.Classes = string(letters)
	us := v.Keys(US)
	for k, key := range v.Keys(Metric) {
		one.Keys = append(one.Keys, MapKey{string(rune(key.Class)), key.Words, us[k].Words})
	}
	return one
}

// figure is a value as JSON has it: a figure more than a person reads, and between two of
// those no cell changes its class.
func (v *WallView) figure(si *float64) *float64 {
	if si == nil {
		return nil
	}
	_, unit := v.Text(Metric)
	fine := math.Pow(10, float64(unit.Digits)+2)
	return Known(math.Round(v.In(*si, unit)*fine) / fine)
}

func mapCell(m *bore.Map, process string, row, column int) MapCell {
	c := m.At(row, column)
	depth, height := quantity.Metres(row)*m.DepthStep, m.Height(row, column)
	cell := MapCell{
		Angle: float64(column) * float64(m.AngleStep), Depth: *In(&depth, "mm"), Energy: Plain(&c.Energy), ArcTime: Plain(&c.ArcTime), Unseen: Plain(&c.Unseen),
		Path: In(&c.Path, "mm"), WeldedPart: m.WeldedShare(column), BesideGap: m.BesideGap(column), Findings: c.Findings,
	}
	if e, ok := c.ArcEnergy(); ok {
		cell.ArcEnergy, cell.HeatInput = In(&e, "kJ/mm"), In(heatInputOf(process, e), "kJ/mm")
	}
	if m.WireMeasured+m.WireDeclared > 0 {
		cell.Volume, cell.Height = Known(c.Volume*1e9), In(&height, "mm")
		if m.Bore.FinishDiameter > 0 {
			stock := m.Stock(row, column)
			cell.Stock = In(&stock, "mm")
		}
	}
	return cell
}

func cleanUpRow(c bore.CleanUp) MapCleanUp {
	row := MapCleanUp{
		Answer: word(string(c.Answer)), Why: word(c.Why), Eccentricity: In(&c.Eccentricity, "mm"),
		Judged: c.Judged, BesideGap: c.BesideGap, Short: mapPatches(c.Short), Unseen: mapPatches(c.Unseen),
	}
	row.Sentence = cleanUpAnswer(&c, Metric.Set())
	if c.Answer == "" {
		return row
	}
	row.LeastStock, row.Margin, row.Expanded = In(&c.Least, "mm"), In(&c.Margin, "mm"), In(&c.Expanded, "mm")
	row.Angle, row.Depth = PlaceOf(&c.Place)
	return row
}

func mapPatches(patches []bore.Shortage) []MapPatch {
	rows := []MapPatch{}
	for _, s := range patches {
		rows = append(rows, MapPatch{
			FromAngle: float64(s.From), ToAngle: float64(s.To), FromDepth: *In(&s.FromDepth, "mm"), ToDepth: *In(&s.ToDepth, "mm"),
			LeastStock: In(&s.Least, "mm"), Angle: float64(s.Place.Angle), Depth: *In(&s.Place.Depth, "mm"), Cells: s.Cells,
		})
	}
	return rows
}

// ErrNoMap is returned where a job has no bore that could be unrolled.
var ErrNoMap error = noMapError{}

type noMapError struct{}

// Error implements error.
func (noMapError) Error() string {
	return "there is no map: the job has no bore with a worn diameter, a length and a pitch"
}

// Hint says how to have one.
func (noMapError) Hint() string { return "give the bore and the pitch in a job file: --job JOB.yaml" }
