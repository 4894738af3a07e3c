package pairs

import (
	"fmt"

	"arctally/acquire/quantity"
	"arctally/analyze/plausible"
)

// Reader reads quantities of one kind as numbers in a unit: one of them, or a list.
type Reader func(in *Input, key, text string, list bool) ([]float64, error)

// ReadIn returns how a quantity is read as a number in a unit, and held against what is
// usual of its key.
func ReadIn[Q quantity.Quantity](unit string) Reader {
	return func(in *Input, key, text string, list bool) (values []float64, err error) {
		written := make([]quantity.Written[Q], 1)
		if list {
			written, err = quantity.ParseList[Q](text)
		} else {
			written[0].Text = text
			written[0].Value, err = quantity.Parse[Q](text)
		}
		if err != nil {
			return nil, err
		}
		for _, w := range written {
			in.typed = append(in.typed, w.Text)
			in.Doubt(plausible.Check(band[Q](in, key), key, w.Value, w.Text))
			values = append(values, quantity.In(w.Value, unit))
		}
		return values, nil
	}
}

// band is what is usual of a key. Nothing is typed of which nobody says that.
func band[Q quantity.Quantity](in *Input, key string) plausible.Band {
	for _, what := range []string{in.Subject + "." + in.Of + "." + key, in.Subject + "." + key} {
		if b, ok := plausible.Find[Q](what); ok {
			return b
		}
	}
	panic(fmt.Sprintf("pairs: nobody says what is usual of %s %s %s", in.Subject, in.Of, key))
}

// List reads quantities as quantity.ParseList has them; nil where there are none.
func (in *Input) List(key string, read Reader) []float64 {
	if !in.Has(key) {
		return nil
	}
	values, err := read(in, key, in.Text(key), true)
	in.Fail(key, err)
	return values
}

// One reads a quantity above zero, or takes what stands for it.
func (in *Input) One(key string, read Reader, otherwise float64) float64 {
	if !in.Has(key) {
		return otherwise
	}
	values, err := read(in, key, in.Text(key), false)
	if err == nil && values[0] <= 0 {
		err = fmt.Errorf("%q: it must be above zero", in.Text(key))
	}
	in.Fail(key, err)
	if err != nil {
		return 0
	}
	return values[0]
}

// Quantity reads a quantity and holds it against a band; field is how a person knows
// it, and is told with what is wrong.
func Quantity[Q quantity.Quantity](in *Input, field, text string, b plausible.Band) Q {
	q, err := quantity.Parse[Q](text)
	in.Fail(field, err)
	if err == nil {
		in.typed = append(in.typed, text)
		in.Doubt(plausible.Check(b, field, q, text))
	}
	return q
}

// Window reads a window and holds its limits against a band.
func Window[Q quantity.Quantity](in *Input, field, text string, b plausible.Band) quantity.Range[Q] {
	r, err := quantity.ParseRange[Q](text)
	in.Fail(field, err)
	if err != nil {
		return r
	}
	in.typed = append(in.typed, text)
	var d *plausible.Doubt
	if r.HasLow {
		d = plausible.Check(b, field, r.Low, text)
	}
	if r.HasHigh && d == nil {
		d = plausible.Check(b, field, r.High, text)
	}
	in.Doubt(d)
	return r
}
