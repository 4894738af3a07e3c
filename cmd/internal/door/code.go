package door

import (
	"crypto/rand"
	"crypto/subtle"
	"fmt"
	"math/big"
	"strings"
	"time"

	"arctally/report/page"
)

// Of a code: eight figures that can be typed in gloves, 26 bits. A guess is right once in
// 10^7 codes with all the tries that one has. Ours, no source.
const (
	codeFigures = 8
	codeLife    = 10 * time.Minute
	codeTries   = 10 // wrong ones of all clients together, after which it is void
)

// Of the tries of one client. Ours, no source.
const (
	freeTries  = 3 // wrong ones before it has to wait
	firstWait  = 30 * time.Second
	longWait   = time.Hour
	forgotten  = 24 * time.Hour // after the last wrong one
	mostTriers = 4096
)

// code lets one device in.
type code struct {
	figures string
	role    page.Role
	until   time.Time
	wrong   int
}

// tries are the wrong codes of one client.
type tries struct {
	wrong int
	last  time.Time
}

// newCode makes one at random.
func newCode(role page.Role, now time.Time) *code {
	most := new(big.Int).Exp(big.NewInt(10), big.NewInt(codeFigures), nil)
	n, _ := rand.Int(rand.Reader, most) // never fails
	return &code{figures: fmt.Sprintf("%0*d", codeFigures, n), role: role, until: now.Add(codeLife)}
}

// text is the code as it is shown.
func (c *code) text() string { return c.figures[:codeFigures/2] + " " + c.figures[codeFigures/2:] }

// readCode takes the figures out of what was typed; false is no code at all.
func readCode(typed string) (figures string, ok bool) {
	if len(typed) > 40 {
		return "", false
	}
	figures = strings.Map(func(r rune) rune {
		if r == ' ' || r == '-' {
			return -1
		}
		return r
	}, typed)
	return figures, len(figures) == codeFigures && strings.Trim(figures, "0123456789") == ""
}

// wait is how long a client has to wait after so many wrong codes.
func (t *tries) wait(now time.Time) time.Duration {
	if t == nil || t.wrong < freeTries {
		return 0
	}
	wait := firstWait
	for k := freeTries; k < t.wrong && wait < longWait; k++ {
		wait *= 2
	}
	return max(0, t.last.Add(min(wait, longWait)).Sub(now))
}

// try holds a code against the one that is shown. It is called with the door held.
func (d *Door) try(figures, client string, now time.Time) (*code, error) {
	t := d.tries[client]
	if wait := t.wait(now); wait > 0 {
		return nil, waiting(wait)
	}
	c := d.code
	if c == nil || !now.Before(c.until) {
		return nil, errNoCode
	}
	if subtle.ConstantTimeCompare([]byte(figures), []byte(c.figures)) == 1 {
		d.code = nil
		delete(d.tries, client)
		return c, nil
	}
	t = d.missed(client, now)
	if c.wrong++; c.wrong >= codeTries {
		d.code = nil
		d.Tell("caution: %d wrong codes were tried, the last from %s: the code is void. Another one: the page Devices at this machine", codeTries, client)
	} else {
		d.Tell("a wrong code was tried from %s", client)
	}
	return nil, wrongCode(t.wait(now))
}

// missed counts a wrong code. Who tries from thousands of addresses pushes out who tried longest ago; the code itself bears few tries in all.
func (d *Door) missed(client string, now time.Time) *tries {
	for name, t := range d.tries {
		if now.Sub(t.last) > forgotten {
			delete(d.tries, name)
		}
	}
	for len(d.tries) >= mostTriers {
		oldest := ""
		for name, t := range d.tries {
			if oldest == "" || t.last.Before(d.tries[oldest].last) {
				oldest = name
			}
		}
		delete(d.tries, oldest)
	}
	t := d.tries[client]
	if t == nil {
		t = &tries{}
		d.tries[client] = t
	}
	t.wrong++
	t.last = now
	return t
}
