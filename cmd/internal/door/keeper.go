package door

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"fmt"
	"io/fs"
	"math"
	"net/http"
	"strconv"
	"strings"
	"time"

	"arctally/report/page"
)

// Standing implements page.Doorkeeper.
func (d *Door) Standing(ctx context.Context) page.Standing {
	v := page.VisitorOf(ctx)
	s := page.Standing{Device: v.Device, Role: v.Role, Here: v.Here, Network: d.network()}
	d.mutex.Lock()
	defer d.mutex.Unlock()
	now := d.Now()
	s.WaitS = seconds(d.tries[clientOf(ctx)].wait(now))
	if d.code != nil {
		s.OpenFor = seconds(d.code.until.Sub(now))
	}
	return s
}

func seconds(d time.Duration) int { return max(0, int(math.Ceil(d.Seconds()))) }

// Offer implements page.Doorkeeper.
func (d *Door) Offer(ctx context.Context, role page.Role) (page.Offer, error) {
	if !d.network() {
		return page.Offer{}, errHome
	}
	now := d.Now()
	d.mutex.Lock()
	d.code = newCode(role, now)
	offer := page.Offer{Code: d.code.text(), Role: role, Seconds: seconds(codeLife)}
	d.mutex.Unlock()
	if v := page.VisitorOf(ctx); !v.Here {
		d.Tell("%s has a code shown that lets one device in; it may then: %s", v.Device, role)
	}
	return offer, nil
}

// Pair implements page.Doorkeeper.
func (d *Door) Pair(ctx context.Context, r page.PairRequest) (s page.Standing, c *http.Cookie, err error) {
	v := page.VisitorOf(ctx)
	if v.Here || !d.network() {
		return s, nil, errHere
	}
	name := strings.TrimSpace(r.Name)
	if err := checkName(name); err != nil {
		return s, nil, wrongField("name", err.Error(), "choose another name for this device")
	}
	figures, ok := readCode(r.Code)
	if !ok {
		return s, nil, wrongField("code", fmt.Sprintf("a code has %d figures", codeFigures), "type the figures that the machine shows")
	}
	now := d.Now()
	d.mutex.Lock()
	known, err := d.try(figures, clientOf(ctx), now)
	d.mutex.Unlock()
	if err != nil {
		return s, nil, err
	}
	token, made, err := d.take(name, known.role, v.ID, now)
	if err != nil {
		return s, nil, err
	}
	d.cut(v.ID)
	d.Tell("paired: %s; it may: %s; until %s", made.Name, made.Role, made.Expires.UTC().Format("2006-01-02 15:04 MST"))
	return page.Standing{Device: made.Name, Role: made.Role, Network: true}, cookie(token, made.Expires.Sub(now)), nil
}

// take puts a device on the list. One that is paired again leaves its former place.
func (d *Door) take(name string, role page.Role, former string, now time.Time) (token string, made Device, err error) {
	token, hash := newToken()
	life := deviceLife
	if role == page.Manage {
		life = managerLife
	}
	id := make([]byte, 8)
	_, _ = rand.Read(id) // never fails
	made = Device{ID: hex.EncodeToString(id), Name: name, Role: role, Hash: hash, Paired: now.UTC().Truncate(time.Second), Expires: now.Add(life).UTC().Truncate(time.Second)}
	err = d.devices.change(now, func(all []Device) ([]Device, error) {
		all, _ = without(all, former)
		if len(all) >= mostDevices {
			return nil, &page.Problem{Status: http.StatusConflict, Message: fmt.Sprintf("%d devices are paired already", mostDevices), Hint: "shut one out that nobody uses: the page Devices at the machine"}
		}
		made.Name = free(all, name)
		return append(all, made), nil
	})
	return token, made, err
}

// free is a name that no device has: two of one name could not be told apart in a record.
func free(all []Device, name string) string {
	for k := 2; ; k++ {
		taken := false
		for _, one := range all {
			taken = taken || strings.EqualFold(one.Name, name)
		}
		if !taken {
			return name
		}
		number := " " + strconv.Itoa(k)
		stem := []rune(strings.TrimRight(name, " 0123456789"))
		name = string(stem[:min(len(stem), mostName-len(number))]) + number
	}
}

func without(all []Device, id string) (left []Device, found bool) {
	for _, one := range all {
		if one.ID == id {
			found = true
			continue
		}
		left = append(left, one)
	}
	return left, found
}

// Leave implements page.Doorkeeper.
func (d *Door) Leave(ctx context.Context) (*http.Cookie, error) {
	v := page.VisitorOf(ctx)
	if v.ID == "" {
		return nil, errHere
	}
	return cookie("", 0), d.Revoke(ctx, v.ID)
}

// Revoke implements page.Doorkeeper.
func (d *Door) Revoke(_ context.Context, id string) error {
	if !d.network() {
		return errHome
	}
	gone := ""
	err := d.devices.change(d.Now(), func(all []Device) ([]Device, error) {
		for _, one := range all {
			if one.ID == id {
				gone = one.Name
			}
		}
		left, found := without(all, id)
		if !found {
			return nil, noDevice(id)
		}
		return left, nil
	})
	if err == nil {
		d.cut(id)
		d.Tell("shut out: %s", gone)
	}
	return err
}

// noDevice is one that is not on the list.
type noDevice string

func (n noDevice) Error() string { return "no device " + quoted(string(n)) + " is paired" }
func (noDevice) Unwrap() error   { return fs.ErrNotExist }

// Devices implements page.Doorkeeper.
func (d *Door) Devices(ctx context.Context) (page.DeviceList, error) {
	l := page.DeviceList{Network: d.network(), Address: d.Address}
	if !d.network() {
		return l, nil
	}
	all, err := d.devices.all(d.Now())
	if err != nil {
		return l, err
	}
	d.mutex.Lock()
	defer d.mutex.Unlock()
	for _, one := range all {
		row := page.DeviceRow{ID: one.ID, Name: one.Name, Role: one.Role, Paired: one.Paired.UTC().Format(time.RFC3339), Expires: one.Expires.UTC().Format(time.RFC3339), This: one.ID == page.VisitorOf(ctx).ID}
		if at, ok := d.seen[one.ID]; ok {
			row.Seen = new(at.UTC().Format(time.RFC3339))
		}
		l.Devices = append(l.Devices, row)
	}
	return l, nil
}

// Listed are the devices that are paired on this machine, for who sits at its terminal.
func Listed(folder string, now time.Time) ([]Device, error) {
	return (&devices{folder: folder}).all(now)
}

// ShutOut takes a device off the list, by its name or id; a program that serves sees it at once.
func ShutOut(folder, which string, now time.Time) error {
	return (&devices{folder: folder}).change(now, func(all []Device) ([]Device, error) {
		for _, one := range all {
			if one.ID == which || one.Name == which {
				left, _ := without(all, one.ID)
				return left, nil
			}
		}
		return nil, noDevice(which)
	})
}
