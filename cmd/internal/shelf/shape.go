package shelf

import (
	"fmt"
	"reflect"
	"sync"
	"unsafe"
)

// shape is how the values of one type lie in memory: what can be copied as it lies
// there, and what lies elsewhere. It is worked out once from the type itself, so that no
// field can be forgotten; a type that cannot be kept panics, whatever its value.
type shape struct {
	of     reflect.Type
	size   uintptr
	plain  []span // numbers and truths, without the holes between them
	beside []part // what lies elsewhere
}

// span is a stretch of memory, from an offset on.
type span struct{ at, size uintptr }

// part is a string, slice, pointer or map at an offset.
type part struct {
	at   uintptr
	of   reflect.Type
	elem *shape // of slice, pointer and map
}

var shapes sync.Map // of reflect.Type to *shape

// shapeOf is the shape of a type.
func shapeOf(t reflect.Type) *shape {
	if known, ok := shapes.Load(t); ok {
		return known.(*shape)
	}
	s := workedOut(t, nil)
	shapes.Store(t, s)
	return s
}

// workedOut is the shape of a type that is part of others.
func workedOut(t reflect.Type, within []reflect.Type) *shape {
	for _, outer := range within {
		if outer == t {
			panic(fmt.Sprintf("shelf: %v contains itself", t))
		}
	}
	s := &shape{of: t, size: t.Size()}
	s.add(t, 0, append(within[:len(within):len(within)], t))
	return s
}

// add adds what lies at an offset.
func (s *shape) add(t reflect.Type, at uintptr, within []reflect.Type) {
	switch t.Kind() {
	case reflect.Bool, reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64, reflect.Uint, reflect.Uint8,
		reflect.Uint16, reflect.Uint32, reflect.Uint64, reflect.Float32, reflect.Float64:
		s.addPlain(span{at, t.Size()})
	case reflect.Struct:
		for k := range t.NumField() {
			f := t.Field(k)
			s.add(f.Type, at+f.Offset, within)
		}
	case reflect.Array:
		for k := range t.Len() {
			s.add(t.Elem(), at+uintptr(k)*t.Elem().Size(), within)
		}
	case reflect.String:
		s.beside = append(s.beside, part{at: at, of: t})
	case reflect.Slice, reflect.Pointer:
		s.beside = append(s.beside, part{at, t, workedOut(t.Elem(), within)})
	case reflect.Map:
		if t.Key().Kind() != reflect.String {
			panic(fmt.Sprintf("shelf: %v cannot be kept", t))
		}
		s.beside = append(s.beside, part{at, t, workedOut(t.Elem(), within)})
	default:
		panic(fmt.Sprintf("shelf: %v cannot be kept", t))
	}
}

// addPlain adds a stretch, to the one before it where they touch.
func (s *shape) addPlain(next span) {
	if n := len(s.plain); n > 0 && s.plain[n-1].at+s.plain[n-1].size == next.at {
		s.plain[n-1].size += next.size
		return
	}
	s.plain = append(s.plain, next)
}

// solid reports whether values lie in memory without anything else, and without holes.
func (s *shape) solid() bool {
	return len(s.beside) == 0 && len(s.plain) == 1 && s.plain[0] == span{0, s.size}
}

// bytesAt is the memory of a stretch of a value.
func bytesAt(value unsafe.Pointer, x span) []byte {
	return unsafe.Slice((*byte)(unsafe.Add(value, x.at)), x.size)
}
