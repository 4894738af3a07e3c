package live

// Bead is metal as it is laid, piece by piece. As an event it holds only what is new,
// or has come out otherwise: a piece takes the place of a former one of its pass, turn
// and from_deg.
type Bead struct {
	Record string  `json:"record"`
	Pieces []Piece `json:"pieces"`
	Gone   int     `json:"gone"` // older pieces that are not kept any more
}

// Piece is what one turn laid in one cell of the wall; a turn of a stroke is the stroke.
type Piece struct {
	Pass    int      `json:"pass"`
	Layer   *int     `json:"layer"`
	Turn    int      `json:"turn"`
	From    float64  `json:"from_deg"`
	To      float64  `json:"to_deg"`
	Depth   *float64 `json:"depth_mm"` // of its middle
	State   Margin   `json:"state"`    // of what is judged
	Finding bool     `json:"finding"`
}
