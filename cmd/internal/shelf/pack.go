package shelf

import (
	"encoding/binary"
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
	p := packing{held: slices.Grow(to, s.length(at))}
	p.value(s, at)
	return p.held
}

// packTo hands the bytes of Pack to out one after the other, and never holds more than a few of them.
func packTo(out func(some []byte), value any) {
	v := reflect.ValueOf(value)
	p := packing{held: make([]byte, 0, heldLength), out: out}
	p.value(shapeOf(v.Type().Elem()), v.UnsafePointer())
	out(p.held)
}

// heldLength is how many bytes are held back until they are handed on.
const heldLength = 64 << 10

// packing packs values one behind the other. Where out is nil it holds all of them.
type packing struct {
	held []byte
	out  func(some []byte)
}

// handOn hands on what is held where there is no room beside it for so many bytes more.
func (p *packing) handOn(more int) {
	if p.out != nil && len(p.held)+more > heldLength {
		p.out(p.held)
		p.held = p.held[:0]
	}
}

func (p *packing) add(more []byte) {
	p.handOn(len(more))
	if p.out != nil && len(more) > heldLength {
		p.out(more)
		return
	}
	p.held = append(p.held, more...)
}

func (p *packing) number(n uint64) {
	p.handOn(binary.MaxVarintLen64)
	p.held = binary.AppendUvarint(p.held, n)
}

func (p *packing) value(s *shape, at unsafe.Pointer) {
	for _, x := range s.plain {
		p.add(bytesAt(at, x))
	}
	for k := range s.beside {
		p.part(&s.beside[k], unsafe.Add(at, s.beside[k].at))
	}
}

func (p *packing) part(of *part, at unsafe.Pointer) {
	v := reflect.NewAt(of.of, at).Elem()
	switch kind := of.of.Kind(); {
	case kind == reflect.String:
		p.text(v.String())
	case v.IsNil():
		p.number(0)
	case kind == reflect.Map:
		p.entries(of, v)
	case kind == reflect.Pointer:
		p.number(1)
		p.value(of.elem, v.UnsafePointer())
	default:
		p.elements(of.elem, v)
	}
}

func (p *packing) text(text string) {
	p.number(uint64(len(text)))
	p.add(unsafe.Slice(unsafe.StringData(text), len(text)))
}

func (p *packing) elements(elem *shape, v reflect.Value) {
	n, first := v.Len(), v.UnsafePointer()
	p.number(uint64(n) + 1)
	if elem.solid() {
		p.add(bytesAt(first, span{0, uintptr(n) * elem.size}))
		return
	}
	for k := range n {
		p.value(elem, unsafe.Add(first, uintptr(k)*elem.size))
	}
}

// entries packs a map in the order of its keys.
func (p *packing) entries(of *part, v reflect.Value) {
	p.number(uint64(v.Len()) + 1)
	keys := v.MapKeys()
	slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
	for _, key := range keys {
		p.text(key.String())
		elem := reflect.New(of.elem.of)
		elem.Elem().Set(v.MapIndex(key))
		p.value(of.elem, elem.UnsafePointer())
	}
}
