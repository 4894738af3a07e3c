package shelf

import (
	"encoding/binary"
	"reflect"
	"unsafe"
)

// length is how many bytes a packed value takes at most, but for its maps. Room for all of a
// large one at once is far cheaper than room that grows.
func (s *shape) length(value unsafe.Pointer) (n int) {
	for _, x := range s.plain {
		n += int(x.size)
	}
	for k := range s.beside {
		n += s.beside[k].length(unsafe.Add(value, s.beside[k].at))
	}
	return n
}

func (p *part) length(at unsafe.Pointer) int {
	v := reflect.NewAt(p.of, at).Elem()
	switch p.of.Kind() {
	case reflect.String:
		return binary.MaxVarintLen64 + v.Len()
	case reflect.Map:
		return 0
	case reflect.Pointer:
		if v.IsNil() {
			return 1
		}
		return 1 + p.elem.length(v.UnsafePointer())
	}
	n := binary.MaxVarintLen64
	if p.elem.solid() {
		return n + v.Len()*int(p.elem.size)
	}
	for k := range v.Len() {
		n += p.elem.length(unsafe.Add(v.UnsafePointer(), uintptr(k)*p.elem.size))
	}
	return n
}
