package picture

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"slices"
)

// What a picture may unfold to: the dots of the largest telephone cameras (50 million, of
// which each has five and a half bytes as they are decoded) fit, and a machine of 1 GB has
// it left beside a recording. A side is bounded so that a thread of dots is none. Ours, no source.
const (
	mostMemory  = 320 << 20 // bytes
	longestSide = 20_000    // dots
)

// head is what the beginning of a file says.
type head struct {
	mime   string
	decode func(io.Reader) (image.Image, error)
}

const hint = "send a JPEG or a PNG, as a camera makes it; a page can make a large one smaller"

// read looks at the head of a file, and refuses what would unfold to more than there is room
// for, before any of it is decoded.
func read(content []byte) (h head, err error) {
	if len(content) > MostBytes {
		return h, refuse(hint, "it has %d bytes, and %d are the most", len(content), MostBytes)
	}
	var config image.Config
	var memory float64 // bytes of a dot
	switch {
	case bytes.HasPrefix(content, []byte{0xff, 0xd8}):
		h = head{JPEG, jpeg.Decode}
		config, err = jpeg.DecodeConfig(bytes.NewReader(content))
		memory = memoryOfJPEG(content)
	case bytes.HasPrefix(content, pngSignature):
		h = head{PNG, png.Decode}
		config, err = png.DecodeConfig(bytes.NewReader(content))
		memory = memoryOfPNG(config.ColorModel)
	default:
		return h, refuse(hint, "it is no JPEG and no PNG")
	}
	switch wide, high := config.Width, config.Height; {
	case err != nil:
		return h, refuse("take it again, or send another one", "it is broken: %v", err)
	case wide < 1 || high < 1 || max(wide, high) > longestSide || float64(wide)*float64(high)*memory > mostMemory:
		return h, refuse("make it smaller", "it unfolds to %d by %d dots, for which there is no room", wide, high)
	}
	return h, nil
}

var pngSignature = []byte("\x89PNG\r\n\x1a\n")

// memoryOfPNG is what a dot takes while it is decoded: once more where the file is
// interlaced, which is not looked at, and four bytes for the copy on white.
func memoryOfPNG(model color.Model) float64 {
	switch model {
	case color.RGBA64Model, color.NRGBA64Model:
		return 2*8 + 4
	default:
		return 2*4 + 4
	}
}

// The markers of JPEG (ITU-T T.81, table B.1; standing: memory).
const (
	startOfImage = 0xd8
	endOfImage   = 0xd9
	quantization = 0xdb
	huffman      = 0xc4
	startOfScan  = 0xda
	baseline     = 0xc0
	progressive  = 0xc2
)

// segment is a marker of a JPEG file with what belongs to it.
type segment struct {
	marker byte
	body   []byte
}

// segments are those before the first scan, that one included; after is what follows it.
func segments(content []byte) (all []segment, after []byte) {
	rest, ok := bytes.CutPrefix(content, []byte{0xff, startOfImage})
	for ok && len(rest) >= 4 && rest[0] == 0xff {
		size := int(binary.BigEndian.Uint16(rest[2:]))
		if size < 2 || 2+size > len(rest) {
			break
		}
		all = append(all, segment{rest[1], rest[4 : 2+size]})
		marker := rest[1]
		if rest = rest[2+size:]; marker == startOfScan {
			return all, rest
		}
	}
	return all, nil
}

// memoryOfJPEG is what a dot takes while it is decoded: a byte for each colour, by how finely
// it is sampled; four more for each where all of the file is gathered first (progressive);
// and four for a copy, which some kinds of colour need.
func memoryOfJPEG(content []byte) float64 {
	const worst = 4 * (1 + 4)
	all, _ := segments(content)
	k := slices.IndexFunc(all, func(s segment) bool { return s.marker >= baseline && s.marker <= progressive })
	if k < 0 || len(all[k].body) < 6 {
		return worst + 4
	}
	var samples, finest float64
	for colours := all[k].body[6:]; len(colours) >= 3; colours = colours[3:] {
		share := float64(colours[1]>>4) * float64(colours[1]&15)
		samples, finest = samples+share, max(finest, share)
	}
	if finest == 0 {
		return worst + 4
	}
	if all[k].marker == progressive {
		samples *= 1 + 4
	}
	return samples/finest + 4
}

// isBare tells whether a file holds nothing but what its dots need: no word of the camera,
// nothing of another program, and nothing behind the picture.
func isBare(content []byte) bool {
	if rest, ok := bytes.CutPrefix(content, pngSignature); ok {
		return isBarePNG(rest)
	}
	all, dots := segments(content)
	for _, s := range all {
		if !slices.Contains([]byte{quantization, huffman, startOfScan, baseline}, s.marker) {
			return false
		}
	}
	for len(dots) >= 2 {
		k := bytes.IndexByte(dots, 0xff)
		if k < 0 || k+1 >= len(dots) {
			return false
		}
		switch dots[k+1] {
		case 0: // a dot that looks like a marker
		case endOfImage:
			return k+2 == len(dots)
		default:
			return false
		}
		dots = dots[k+2:]
	}
	return false
}

func isBarePNG(chunks []byte) bool {
	for len(chunks) >= 12 {
		size, kind := binary.BigEndian.Uint32(chunks), string(chunks[4:8])
		if uint64(size)+12 > uint64(len(chunks)) || !slices.Contains([]string{"IHDR", "PLTE", "IDAT", "IEND"}, kind) {
			return false
		}
		if kind == "IHDR" && (size != 13 || chunks[8+8] > 8 || chunks[8+9]&4 != 0) { // wide, or to be seen through
			return false
		}
		chunks = chunks[12+size:]
		if kind == "IEND" {
			return len(chunks) == 0
		}
	}
	return false
}
