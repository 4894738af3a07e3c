package inspect

import "arctally/acquire/quantity"

// CleanedUp is whether the cut reached sound metal on the whole wall.
type CleanedUp string

// Whether it did.
const (
	AllRound    CleanedUp = "all round"
	NotAllRound CleanedUp = "not all round"
	NotSaid     CleanedUp = "not said"
)

// CleanUps are all of them.
var CleanUps = []CleanedUp{AllRound, NotAllRound, NotSaid}

// Machining is the final measurement, after the bore was cut to size.
type Machining struct {
	Stations   []Station
	Instrument string
	Expanded   *quantity.Metres                // uncertainty of one diameter, k = 2; nil is not known
	Wanted     quantity.Range[quantity.Metres] // limits of the diameter, as the person typed them in; may have none
	CleanedUp  CleanedUp
	Where      string // what did not clean up
	Remark     string
}

// Station is one diameter, where it was measured.
type Station struct {
	Depth    quantity.Metres  `json:"depth_m"`   // from the entry face
	Angle    quantity.Degrees `json:"angle_deg"` // of one end of the diameter, from the reference mark
	Diameter quantity.Metres  `json:"diameter_m"`
}
