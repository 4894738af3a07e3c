package shelf

import (
	"encoding/binary"
	"errors"
	"reflect"
	"unsafe"
)

// errShort is that bytes are not what Pack made of such a value.
var errShort = errors.New("shelf: these bytes are no value of the type")

// Unpack sets what a pointer points to to the value that Pack made bytes of. After an
// error it is as it was.
func Unpack(packed []byte, value any) error {
	v := reflect.ValueOf(value)
	fresh := reflect.New(v.Type().Elem())
	u := unpacking{rest: packed}
	u.value(shapeOf(v.Type().Elem()), fresh.UnsafePointer())
	if u.short || len(u.rest) > 0 {
		return errShort
	}
	v.Elem().Set(fresh.Elem())
	return nil
}

// unpacking reads packed bytes; short is set as soon as there are too few.
type unpacking struct {
	rest  []byte
	short bool
}

// take takes so many bytes, nil where there are not as many.
func (u *unpacking) take(n uint64) []byte {
	if n > uint64(len(u.rest)) {
		u.short, u.rest = true, nil
		return nil
	}
	taken := u.rest[:n]
	u.rest = u.rest[n:]
	return taken
}

func (u *unpacking) number() uint64 {
	x, n := binary.Uvarint(u.rest)
	if n <= 0 {
		u.short, u.rest = true, nil
		return 0
	}
	u.rest = u.rest[n:]
	return x
}

func (u *unpacking) value(s *shape, to unsafe.Pointer) {
	for _, x := range s.plain {
		copy(bytesAt(to, x), u.take(uint64(x.size)))
	}
	for k := range s.beside {
		if u.short {
			return
		}
		u.part(&s.beside[k], unsafe.Add(to, s.beside[k].at))
	}
}

func (u *unpacking) part(p *part, to unsafe.Pointer) {
	v := reflect.NewAt(p.of, to).Elem()
	n := u.number()
	switch {
	case p.of.Kind() == reflect.String:
		v.SetString(string(u.take(n)))
	case n == 0: // nil
	case p.of.Kind() == reflect.Pointer:
		v.Set(reflect.New(p.elem.of))
		u.value(p.elem, v.UnsafePointer())
	case n-1 > uint64(len(u.rest))/max(1, p.elem.least()):
		u.short = true
	case p.of.Kind() == reflect.Map:
		u.entries(p, v, n-1)
	default:
		u.elements(p, v, int(n-1))
	}
}

// least is how many bytes a packed value takes at least.
func (s *shape) least() (n uint64) {
	for _, x := range s.plain {
		n += uint64(x.size)
	}
	return n + uint64(len(s.beside))
}

func (u *unpacking) elements(p *part, v reflect.Value, n int) {
	v.Set(reflect.MakeSlice(p.of, n, n))
	first := v.UnsafePointer()
	if p.elem.solid() {
		copy(bytesAt(first, span{0, uintptr(n) * p.elem.size}), u.take(uint64(n)*uint64(p.elem.size)))
		return
	}
	for k := 0; k < n && !u.short; k++ {
		u.value(p.elem, unsafe.Add(first, uintptr(k)*p.elem.size))
	}
}

func (u *unpacking) entries(p *part, v reflect.Value, n uint64) {
	v.Set(reflect.MakeMap(p.of))
	for k := uint64(0); k < n && !u.short; k++ {
		key := reflect.New(p.of.Key()).Elem()
		key.SetString(string(u.take(u.number())))
		elem := reflect.New(p.elem.of)
		u.value(p.elem, elem.UnsafePointer())
		v.SetMapIndex(key, elem.Elem())
	}
}
