package draw

// Figure is a drawing with the words around it.
type Figure struct {
	Title, Unit string // above it; a pure number has no unit
	Drawing     *Drawing
	Keys        []Key
	Note        string   // how to read it
	Extra       string   // what found no room in it
	Lines       []string // what it shows, in sentences
}

// Key explains a mark or a shade of a drawing.
type Key struct {
	Icon  *Drawing
	Words string
}
