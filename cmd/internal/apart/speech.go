package apart

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"reflect"
	"sync"

	"arctally/acquire/record"
	"arctally/analyze/note"
	"arctally/report/page/live"
)

// meaning is raised where something that goes over the line comes to mean something else, and
// is still of the same type.
const meaning = 1

// speech is what both ends of a line have to have in common, so that each takes what the other
// says for what it is. It is made of the types themselves: no field can be forgotten. Two builds
// may have it in common, as those before and after most upgrades do.
var speech = sync.OnceValue(func() string {
	sum := sha256.New()
	for _, said := range []any{
		frame{}, Far{}, Hello{}, Done{}, touched{}, picture{}, silence{}, note.Note{}, []record.Entry{}, live.State{}, live.Strip{}, live.Bead{},
	} {
		describe(sum, reflect.TypeOf(said), nil)
	}
	return fmt.Sprintf("%d %s", meaning, hex.EncodeToString(sum.Sum(nil)))
})

// describe writes down all that a type is made of.
func describe(to io.Writer, t reflect.Type, within []reflect.Type) {
	_, _ = fmt.Fprintf(to, "%v %v ", t, t.Kind()) // a sum takes all
	for _, outer := range within {
		if outer == t {
			return
		}
	}
	within = append(within[:len(within):len(within)], t)
	switch t.Kind() {
	case reflect.Struct:
		for f := range t.Fields() {
			_, _ = fmt.Fprintf(to, "%s %q ", f.Name, f.Tag)
			describe(to, f.Type, within)
		}
	case reflect.Map:
		describe(to, t.Key(), within)
		describe(to, t.Elem(), within)
	case reflect.Slice, reflect.Array, reflect.Pointer:
		describe(to, t.Elem(), within)
	}
}
