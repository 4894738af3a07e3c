package door

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"net/http"
	"time"

	"arctally/report/page"
)

// cookieName binds the cookie to this host, its root and TLS: no other may set it.
const cookieName = "__Host-arctally"

const tokenBytes = 32

// newToken makes what a device shows, and what is kept of it.
func newToken() (token, hash string) {
	raw := make([]byte, tokenBytes)
	_, _ = rand.Read(raw) // never fails
	token = base64.RawURLEncoding.EncodeToString(raw)
	return token, hashOf(token)
}

func hashOf(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

func cookie(token string, life time.Duration) *http.Cookie {
	c := &http.Cookie{Name: cookieName, Value: token, Path: "/", Secure: true, HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: int(life.Seconds())}
	if life == 0 {
		c.MaxAge = -1
	}
	return c
}

// shown is the token that a request shows; empty is none. Two are none: one of them was
// set by somebody else.
func shown(r *http.Request) string {
	all := r.CookiesNamed(cookieName)
	if len(all) != 1 {
		return ""
	}
	raw, err := base64.RawURLEncoding.Strict().DecodeString(all[0].Value)
	if err != nil || len(raw) != tokenBytes {
		return ""
	}
	return all[0].Value
}

// visitor is the device that asks; a stranger, where it shows nothing that holds.
func (d *Door) visitor(r *http.Request) page.Visitor {
	token := shown(r)
	if token == "" || !d.network() {
		return page.Visitor{}
	}
	now := d.Now()
	one, ok := d.devices.find(hashOf(token), now)
	if !ok {
		return page.Visitor{}
	}
	d.mutex.Lock()
	d.seen[one.ID] = now
	d.mutex.Unlock()
	return page.Visitor{ID: one.ID, Device: one.Name, Role: one.Role}
}
