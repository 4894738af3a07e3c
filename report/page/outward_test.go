package page

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestOutward_SaysNothingOfTheDisk(t *testing.T) {
	for text, want := range map[string]string{
		"record /home/welder/jobs/boom.arctally: not whole":            "record boom.arctally: not whole",
		`open "/etc/arctally/x.yaml": permission denied`:               `open "x.yaml": permission denied`,
		"stat /home/welder/jobs: no such file":                         "stat jobs: no such file",
		"the port /dev/ttyUSB0 is missing":                             "the port /dev/ttyUSB0 is missing",
		"/dev/serial/by-id/usb-box-if00: unplugged":                    "/dev/serial/by-id/usb-box-if00: unplugged",
		"there is no /api/nowhere":                                     "there is no /api/nowhere",
		"360 mm/min, 0.5 kJ/mm, and/or/maybe 1/2/3":                    "360 mm/min, 0.5 kJ/mm, and/or/maybe 1/2/3",
		"open https://192.0.2.20:8470/a/b":                             "open https://192.0.2.20:8470/a/b",
		`open C:\jobs\here\boom.arctally: not whole`:                   "open boom.arctally: not whole",
		`the port COM3: a "D:\x.yaml" b`:                               `the port COM3: a "x.yaml" b`,
		"begin at /":                                                   "begin at /",
		"a (/var/lib/arctally/devices.json) b, file=/root/.config/x/y": "a (devices.json) b, file=y",
	} {
		assert.Equal(t, want, Outward(text), text)
	}
}
