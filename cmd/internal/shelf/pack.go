package shelf

import (
	"encoding/binary"
	"hash/crc32"
	"reflect"
	"slices"
	"strings"
	"unsafe"
)

// Pack returns the value that a pointer points to as bytes: all of it, unexported fields
// and NaN too, nil apart from empty. Equal values give equal bytes. The bytes are as
// this machine keeps them in memory, and mean nothing to a program in which a type is
// another one.
func Pack(value any) []byte { return appendPacked(nil, value) }

func appendPacked(to []byte, value any) []byte {
	v := reflect.ValueOf(value)
	s, at := shapeOf(v.Type().Elem()), v.UnsafePointer()
	return s.pack(slices.Grow(to, s.length(at)+crc32.Size), at) // a checksum may follow
}

func (s *shape) pack(to []byte, value unsafe.Pointer) []byte {
	for _, x := range s.plain {
		to = append(to, bytesAt(value, x)...)
	}
	for k := range s.beside {
		to = s.beside[k].pack(to, unsafe.Add(value, s.beside[k].at))
	}
	return to
}

func (p *part) pack(to []byte, at unsafe.Pointer) []byte {
	v := reflect.NewAt(p.of, at).Elem()
	switch p.of.Kind() {
	case reflect.String:
		return packString(to, v.String())
	case reflect.Map:
		return p.packMap(to, v)
	}
	if v.IsNil() {
		return append(to, 0)
	}
	if p.of.Kind() == reflect.Pointer {
		return p.elem.pack(append(to, 1), v.UnsafePointer())
	}
	n := v.Len()
	to = binary.AppendUvarint(to, uint64(n)+1)
	first := v.UnsafePointer()
	if p.elem.solid() {
		return append(to, bytesAt(first, span{0, uintptr(n) * p.elem.size})...)
	}
	for k := range n {
		to = p.elem.pack(to, unsafe.Add(first, uintptr(k)*p.elem.size))
	}
	return to
}

func packString(to []byte, text string) []byte {
	return append(binary.AppendUvarint(to, uint64(len(text))), text...)
}

// packMap packs a map in the order of its keys.
func (p *part) packMap(to []byte, v reflect.Value) []byte {
	if v.IsNil() {
		return append(to, 0)
	}
	to = binary.AppendUvarint(to, uint64(v.Len())+1)
	keys := v.MapKeys()
	slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
	for _, key := range keys {
		to = packString(to, key.String())
		elem := reflect.New(p.elem.of)
		elem.Elem().Set(v.MapIndex(key))
		to = p.elem.pack(to, elem.UnsafePointer())
	}
	return to
}
