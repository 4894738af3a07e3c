package live

// Alarm is something that is out of its limits, or was and has not been touched since.
type Alarm struct {
	ID               int64    `json:"id"` // of this recording, since it was last begun
	Rule             string   `json:"rule"`
	Sign             int      `json:"sign"` // -1 below its limit, 1 above it, 0 is neither
	Words            string   `json:"words"`
	Value            *float64 `json:"value"` // the present one; of what is over, the worst
	Limit            *float64 `json:"limit"`
	Unit             string   `json:"unit"`
	Began            string   `json:"began"`    // host time
	Lasted           float64  `json:"lasted_s"` // on the clock of the box
	Pass             *int     `json:"pass"`
	Layer            *int     `json:"layer"`
	Turn             *int     `json:"turn"`
	Angle            *float64 `json:"angle_deg"` // where it began
	AngleUncertainty *float64 `json:"angle_uncertainty_deg"`
	Depth            *float64 `json:"depth_mm"`
	Now              bool     `json:"now"`     // it is out at this moment
	Finding          bool     `json:"finding"` // it is, or will be, one
	Seen             bool     `json:"seen"`    // somebody has touched it
}
