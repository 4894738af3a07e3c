package page

import (
	"context"
	"fmt"
	"net/http"
	"regexp"
	"slices"
	"strings"

	"arctally/acquire/foreign"
)

// Role is what a device may do.
type Role string

// The roles. Stranger is who has shown nothing; who manages may do everything.
const (
	Stranger Role = ""
	Look     Role = "look"
	Operate  Role = "operate"
	Inspect  Role = "inspect"
	Manage   Role = "manage"
)

// Roles are those that a device can be paired for.
var Roles = []Role{Look, Operate, Inspect, Manage}

// Who may ask for an operation. An empty list is nobody.
var (
	anyone     = append([]Role{Stranger}, Roles...)
	looking    = Roles
	operating  = []Role{Operate, Manage}
	inspecting = []Role{Inspect, Manage}
	acting     = []Role{Operate, Inspect, Manage}
	managing   = []Role{Manage}
)

// Visitor is who asks: the person at the machine itself, who is no device, or a device
// that was paired; the zero Visitor is a stranger.
type Visitor struct {
	ID     string // of the device
	Device string // its name
	Role   Role
	Here   bool // at the machine itself
}

// AtTheMachine is who sits at the machine: he may do everything, with no ceremony.
var AtTheMachine = Visitor{Role: Manage, Here: true}

type visitorKey struct{}

// With hands on who asks.
func (v Visitor) With(ctx context.Context) context.Context {
	return context.WithValue(ctx, visitorKey{}, v)
}

// VisitorOf is who asks; a stranger, where nobody has looked.
func VisitorOf(ctx context.Context) Visitor {
	v, _ := ctx.Value(visitorKey{}).(Visitor)
	return v
}

// signature is how a name ends that was typed at a device.
var signature = regexp.MustCompile(`(^|, at )[^,()]+ \((look|operate|inspect|manage)\)\s*$`)

// SignedBy is the name under which something goes on record: that which was typed, and
// the device at which it was, with its role. At the machine itself it is the name alone.
func SignedBy(ctx context.Context, typed string) string {
	v := VisitorOf(ctx)
	if v.Here || v.Device == "" {
		return typed
	}
	at := fmt.Sprintf("%s (%s)", v.Device, v.Role)
	if typed == "" {
		return at
	}
	return typed + ", at " + at
}

// NameOf is the name that was typed, of one that stands on record.
func NameOf(signed string) string { return signature.ReplaceAllString(signed, "") }

// unsigned refuses a name that looks as if a device had signed it, or that is longer than a name.
func unsigned(field, name string) error {
	if err := foreign.Fits("", name, foreign.LongestName); err != nil {
		return unprocessable(field+": "+err.Error(), "type the name of a person alone", FieldProblem{Field: field, Error: err.Error()})
	}
	if !signature.MatchString(name) {
		return nil
	}
	return unprocessable(fmt.Sprintf("a name cannot end as that of a device does: %q", strings.TrimSpace(name)), "type the name of a person alone",
		FieldProblem{Field: field, Error: "it ends as the name of a device does"})
}

// Standing is who asks, as he is told himself.
type Standing struct {
	Device  string `json:"device"`   // its name; empty is none
	Role    Role   `json:"role"`     // empty is a stranger
	Here    bool   `json:"here"`     // at the machine itself
	Network bool   `json:"network"`  // others than this machine can reach the pages
	WaitS   int    `json:"wait_s"`   // seconds until this client may try a code again; 0 is at once
	OpenFor int    `json:"open_for"` // seconds for which a code is still shown at the machine; 0 is none
}

// PairRequest is what a device shows to be let in.
type PairRequest struct {
	Code string `json:"code"`
	Name string `json:"name"` // of the device
}

// OfferRequest asks for a code.
type OfferRequest struct {
	Role Role `json:"role"`
}

// Offer is a code that lets one device in.
type Offer struct {
	Code    string `json:"code"`
	Role    Role   `json:"role"`
	Seconds int    `json:"seconds"` // for which it holds
}

// DeviceRow is one paired device.
type DeviceRow struct {
	ID      string  `json:"id"`
	Name    string  `json:"name"`
	Role    Role    `json:"role"`
	Paired  string  `json:"paired"`  // RFC 3339
	Expires string  `json:"expires"` // RFC 3339
	Seen    *string `json:"seen"`    // since the program began; nil is not yet
	This    bool    `json:"this"`    // the one that asks
}

// DeviceList is all that may come in.
type DeviceList struct {
	Devices []DeviceRow `json:"devices"`
	Network bool        `json:"network"`
	Address string      `json:"address"` // where a tablet begins; empty where none can
}

// Doorkeeper knows which devices may come in.
type Doorkeeper interface {
	Standing(ctx context.Context) Standing
	// Pair lets a device in that shows the code; the cookie is what it shows from then on.
	Pair(ctx context.Context, r PairRequest) (Standing, *http.Cookie, error)
	// Leave forgets the device that asks; the cookie takes the place of what it showed.
	Leave(ctx context.Context) (*http.Cookie, error)
	Devices(ctx context.Context) (DeviceList, error)
	Offer(ctx context.Context, role Role) (Offer, error)
	// Revoke shuts a device out at once; the error is fs.ErrNotExist where there is none.
	Revoke(ctx context.Context, id string) error
}

// admitting carries out an operation for those who may ask for it.
func admitting(may []Role, operation func(http.ResponseWriter, *http.Request) error) func(http.ResponseWriter, *http.Request) error {
	return func(w http.ResponseWriter, r *http.Request) error {
		v := VisitorOf(r.Context())
		switch {
		case slices.Contains(may, v.Role):
			return operation(w, r)
		case v.Role == Stranger:
			return &Problem{Status: http.StatusUnauthorized, Message: "this device is not paired with the machine", Hint: "pair it: the machine shows a code"}
		default:
			return &Problem{
				Status: http.StatusForbidden, Message: fmt.Sprintf("%s may %s; this needs: %s", v.Device, v.Role, words(may)),
				Hint: "do it at a device that may, or at the machine itself",
			}
		}
	}
}

// words are the roles that may, for a person; who manages may everything and is named only where nobody else may.
func words(may []Role) string {
	var all []string
	for _, r := range may {
		if r != Manage || len(may) == 1 {
			all = append(all, string(r))
		}
	}
	return strings.Join(all, " or ")
}

func (s *server) standing(w http.ResponseWriter, r *http.Request) error {
	return reply(w, http.StatusOK, s.door.Standing(r.Context()))
}

func (s *server) pair(w http.ResponseWriter, r *http.Request) error {
	var p PairRequest
	if err := receive(w, r, &p); err != nil {
		return err
	}
	if err := need(needed{"code", p.Code}, needed{"name", p.Name}); err != nil {
		return err
	}
	standing, cookie, err := s.door.Pair(r.Context(), p)
	if err != nil {
		return err
	}
	http.SetCookie(w, cookie)
	return reply(w, http.StatusCreated, standing)
}

func (s *server) leaveDoor(w http.ResponseWriter, r *http.Request) error {
	cookie, err := s.door.Leave(r.Context())
	if err != nil {
		return err
	}
	http.SetCookie(w, cookie)
	w.Header().Set("Clear-Site-Data", `"cache"`)
	return reply(w, http.StatusOK, Standing{Network: true})
}

func (s *server) devices(w http.ResponseWriter, r *http.Request) error {
	list, err := s.door.Devices(r.Context())
	if err != nil {
		return err
	}
	list.Devices = notNil(list.Devices)
	return reply(w, http.StatusOK, list)
}

func (s *server) offer(w http.ResponseWriter, r *http.Request) error {
	var o OfferRequest
	if err := receive(w, r, &o); err != nil {
		return err
	}
	if !slices.Contains(Roles, o.Role) {
		reason := "there are look, operate, inspect and manage"
		return unprocessable(fmt.Sprintf("nobody can be paired to %q", o.Role), reason, FieldProblem{Field: "role", Error: reason})
	}
	made, err := s.door.Offer(r.Context(), o.Role)
	if err != nil {
		return err
	}
	return reply(w, http.StatusCreated, made)
}

func (s *server) revoke(w http.ResponseWriter, r *http.Request) error {
	if err := s.door.Revoke(r.Context(), r.PathValue("device")); err != nil {
		return err
	}
	return s.devices(w, r)
}

// homeDoor is that of pages which this machine alone can reach.
type homeDoor struct{}

var errHome = &Problem{Status: http.StatusConflict, Message: "these pages are for this machine alone", Hint: "start it for others too: arctally serve --listen :8470"}

// Standing implements Doorkeeper.
func (homeDoor) Standing(ctx context.Context) Standing {
	v := VisitorOf(ctx)
	return Standing{Device: v.Device, Role: v.Role, Here: v.Here}
}

// Pair implements Doorkeeper.
func (homeDoor) Pair(context.Context, PairRequest) (Standing, *http.Cookie, error) {
	return Standing{}, nil, errHome
}

// Leave implements Doorkeeper.
func (homeDoor) Leave(context.Context) (*http.Cookie, error) { return nil, errHome }

// Devices implements Doorkeeper.
func (homeDoor) Devices(context.Context) (DeviceList, error) { return DeviceList{}, nil }

// Offer implements Doorkeeper.
func (homeDoor) Offer(context.Context, Role) (Offer, error) { return Offer{}, errHome }

// Revoke implements Doorkeeper.
func (homeDoor) Revoke(context.Context, string) error { return errHome }
