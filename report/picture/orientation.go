package picture

import (
	"bytes"
	"encoding/binary"
)

// orientation says how a camera was held: the picture is to be mirrored left to
// right where it says so, and then turned.
type orientation struct {
	mirrored bool
	degrees  float64 // counter-clockwise
}

// lying reports whether width and height change places.
func (o orientation) lying() bool { return o.degrees == 90 || o.degrees == -90 }

// orientations are the values of the tag Orientation (0x0112) of TIFF 6.0, which
// Exif takes over; the meanings are written from memory, and the corners of a
// picture are tested.
var orientations = map[uint16]orientation{
	1: {}, 2: {mirrored: true},
	3: {degrees: 180}, 4: {mirrored: true, degrees: 180},
	5: {mirrored: true, degrees: 90}, 6: {degrees: -90},
	7: {mirrored: true, degrees: -90}, 8: {degrees: 90},
}

// held finds how the camera was held in the bytes of a JPEG picture. A file that
// says nothing, or nothing that is understood, is upright.
func held(content []byte) orientation {
	all, _ := segments(content)
	for _, s := range all {
		if tiff, exif := bytes.CutPrefix(s.body, []byte("Exif\x00\x00")); exif && s.marker == camera {
			return orientations[orientationTag(tiff)]
		}
	}
	return orientation{}
}

// camera is the marker of what a camera says of itself (APP1).
const camera = 0xe1

// The tag, and its type: one number of 16 bits.
const (
	tagOrientation = 0x0112
	typeShort      = 3
)

// orientationTag reads the tag in the first directory of a TIFF file, 0 where it
// is not there.
func orientationTag(tiff []byte) uint16 {
	if len(tiff) < 8 {
		return 0
	}
	var order binary.ByteOrder = binary.BigEndian
	if tiff[0] == 'I' {
		order = binary.LittleEndian
	}
	if head := string(tiff[:2]); head != "II" && head != "MM" || order.Uint16(tiff[2:]) != 42 {
		return 0
	}
	first := uint64(order.Uint32(tiff[4:]))
	if first+2 > uint64(len(tiff)) {
		return 0
	}
	entries := tiff[first+2:]
	for range order.Uint16(tiff[first:]) {
		if len(entries) < 12 {
			return 0
		}
		if order.Uint16(entries) == tagOrientation && order.Uint16(entries[2:]) == typeShort && order.Uint32(entries[4:]) == 1 {
			return order.Uint16(entries[8:])
		}
		entries = entries[12:]
	}
	return 0
}
