package draw

import (
	qr "github.com/piglig/go-qr"
)

// QuietZone is how many modules stay light around a code, so that a reader finds it
// (ISO/IEC 18004, 6.3.8; standing: memory).
const QuietZone = 4

// Code is a text as a QR code, which a telephone reads from paper: squares, a unit each, at
// error correction level M or better, so that a scratch does not matter. It is nil where the
// text is longer than a code holds.
func Code(text, words string) *Drawing {
	code, err := qr.EncodeText(text, qr.Medium)
	if err != nil {
		return nil
	}
	side := whole(int64(code.Size() + 2*QuietZone))
	d := &Drawing{Box: Box{whole(0), whole(0), side, side}, Class: "code", Words: words}
	d.add(Rect{Class: "light", Width: side, Height: side})
	d.add(Path{Outline: darkModules(code)})
	return d
}

// darkModules goes round every run of dark modules that lie side by side.
func darkModules(code *qr.QrCode) (o Outline) {
	for y := range code.Size() {
		for x := 0; x < code.Size(); x++ {
			from := x
			for x < code.Size() && code.Module(x, y) {
				x++
			}
			if x == from {
				continue
			}
			top, bottom := whole(int64(y+QuietZone)), whole(int64(y+QuietZone+1))
			left, right := whole(int64(from+QuietZone)), whole(int64(x+QuietZone))
			o = o.move(left, top).across(right).down(bottom).across(left).close()
		}
	}
	return o
}
