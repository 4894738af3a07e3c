// Package form knows the job file and the procedure file as forms: which fields
// there are, in trade words and with their units, and how a file becomes values
// by field and the other way round, with its comments and its order kept.
//
// Terms. A key says where a value stands in a file: bore.worn_diameter; a part
// that may stand several times has its number, deposit.gaps.0.from. A value is
// text as it stands in the file: 92.0 mm, 16.5..19.0 V.
//
// Errors: what the strict parser of procedure refuses comes back as Problems,
// each with its key where one is known, and with line and column.
package form

import "slices"

// Kind is which file a form is of.
type Kind string

// The kinds.
const (
	Job       Kind = "job"
	Procedure Kind = "procedure"
)

// Kinds are all of them.
var Kinds = []Kind{Job, Procedure}

// Known tells whether there is such a kind.
func (k Kind) Known() bool { return slices.Contains(Kinds, k) }

// Entry is how a field is filled in.
type Entry string

// The ways to fill in a field.
const (
	Text     Entry = "text"
	Quantity Entry = "quantity" // a number and a unit
	Range    Entry = "range"    // two numbers and a unit; either number may be missing
	Choice   Entry = "choice"   // one of Choices
	File     Entry = "file"     // one of the procedure files
	Number   Entry = "number"
	List     Entry = "list" // quantities parted by commas
)

// Field is one value of a form.
type Field struct {
	Key     string   `json:"key"`
	Label   string   `json:"label"`
	Kind    Entry    `json:"kind"`
	Units   []string `json:"units,omitempty"`   // those that may be chosen, metric first
	US      string   `json:"us_unit,omitempty"` // proposed to those who work in US units
	Choices []string `json:"choices,omitempty"`
	// Words say choices in the words of the trade, by the choice; what has none is plain itself.
	Words    map[string]string `json:"words,omitempty"`
	Required bool              `json:"required"`
	Unless   string            `json:"unless,omitempty"` // the pattern of a job that does without it; under any other it is needed
	Only     []string          `json:"only,omitempty"`   // the links of a sensor that has the field; empty is any
	Help     string            `json:"help,omitempty"`
	Default  string            `json:"default,omitempty"` // what holds where it is left empty
}

// Group is some fields under one head. Where Repeated is set it may stand several
// times: then its keys have that prefix and a number, deposit.gaps.0.from.
type Group struct {
	Name     string  `json:"name"`
	Help     string  `json:"help,omitempty"`
	Repeated string  `json:"repeated,omitempty"`
	Fields   []Field `json:"fields"`
}

// Form is all fields of a file, in order.
type Form struct {
	Kind   Kind    `json:"kind"`
	Groups []Group `json:"groups"`
}

// Problem is one thing that is wrong in a file. Field is the key that it is
// about, empty where none is known. Where the value is only doubted, Keep is what is to
// stand under sure to keep it on purpose, in the shape of the document.
type Problem struct {
	Field  string `json:"field,omitempty"`
	Line   int    `json:"line,omitempty"`
	Column int    `json:"column,omitempty"`
	Reason string `json:"error"`
	Keep   string `json:"keep,omitempty"`
}
