package entrance

import (
	"context"
	"strings"

	qr "github.com/piglig/go-qr"

	"arctally/cmd/internal/door"
	"arctally/report/page"
)

// Announce says where the pages are, and how others come in.
func (w *Way) Announce() {
	for _, address := range w.addresses {
		w.screen.Tell("open http://%s", address)
	}
	if w.network == nil {
		return
	}
	for _, address := range w.network {
		w.screen.Tell("open https://%s on a tablet", address)
	}
	w.tellAuthority()
	w.tellCode()
	w.screen.Tell("caution: who is let in sees all of this folder, and may do what his role says. Who sits at this machine needs no code: nor does who\n" +
		"comes through a tunnel or a proxy that ends here")
}

// tellAuthority says how a tablet comes to trust the machine.
func (w *Way) tellAuthority() {
	if w.authority == nil {
		return
	}
	if w.authority.Made {
		w.screen.Tell("made an authority for this machine: every tablet has to fetch it once")
	}
	if len(w.network) == 0 {
		w.screen.Tell("caution: this machine has no address on a network")
		return
	}
	w.screen.Tell("the first time with a tablet, let it fetch the authority of this machine: http://%s%s", w.network[0], door.AuthorityPath)
	w.screen.Tell("%s", Drawn("http://"+w.network[0]+"/"))
	w.screen.Tell("before it trusts, hold the SHA-256 fingerprint that it shows against this one:\n  %s", folded(w.authority.Fingerprint()))
	w.screen.Tell("the authority holds until %s", w.authority.Until().UTC().Format("2006-01-02"))
}

// folded breaks a fingerprint in two, for a narrow terminal.
func folded(fingerprint string) string {
	middle := len(fingerprint)/2 + 1
	return fingerprint[:middle] + "\n  " + fingerprint[middle:]
}

// tellCode has a code shown, and says what it is good for.
func (w *Way) tellCode() {
	if w.role == page.Stranger {
		w.screen.Tell("to pair a tablet, have a code shown: the page Devices at this machine")
		return
	}
	made, err := w.Door.Offer(page.AtTheMachine.With(context.Background()), w.role)
	if err != nil {
		w.screen.Tell("no code can be shown: %v", err)
		return
	}
	w.screen.Tell("to pair one tablet, type this code there within %d minutes: %s\nit may then: %s. Other codes, and other roles: the page Devices at this machine", made.Seconds/60, made.Code, made.Role)
}

// quiet is how many cells a reader of QR codes needs to be free around one: four.
const quiet = 4

// Drawn is a QR code for a terminal, two rows of cells in a line of text. The light cells
// are drawn, for a terminal is dark; a reader takes it the other way round too.
func Drawn(text string) string {
	code, err := qr.EncodeText(text, qr.Low)
	if err != nil {
		return text // longer than any code
	}
	light := func(x, y int) bool {
		x, y = x-quiet, y-quiet
		return x < 0 || y < 0 || x >= code.Size() || y >= code.Size() || !code.Module(x, y)
	}
	var b strings.Builder
	side := code.Size() + 2*quiet
	for y := 0; y < side; y += 2 {
		for x := range side {
			switch upper, lower := light(x, y), y+1 < side && light(x, y+1); {
			case upper && lower:
				b.WriteString("█")
			case upper:
				b.WriteString("▀")
			case lower:
				b.WriteString("▄")
			default:
				b.WriteString(" ")
			}
		}
		b.WriteString("\n")
	}
	return strings.TrimSuffix(b.String(), "\n")
}
