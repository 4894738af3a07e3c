package record

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/seal"
)

func ofTheEnd() []forgery {
	cutOff := func(name, statements string) forgery {
		return forgery{name, sealedRecord, doesAndRebuilds(statements), true}
	}
	return []forgery{
		cutOff("groups cut from the end", cut(130, 137)),
		cutOff("all cut behind the seal of a minute", cut(63, 137)),
		cutOff("the end mark cut off", cut(136, 137)),
		cutOff("the end mark deleted, its group left", "DELETE FROM seals WHERE commit_number = 136"),
		cutOff("all seals cut off, with what they seal", cut(2, 137)),
		cutOff("all seals deleted", "DELETE FROM seals"),
		cutOff("all seals deleted, and a calibration edited", "DELETE FROM seals; UPDATE calibrations SET gain = 0.9"),
		{"all seals deleted and a calibration edited, and then handed to the machine to go on with", sealedRecord, func(t *testing.T, path string) {
			doesAndRebuilds("DELETE FROM seals; UPDATE calibrations SET gain = 0.9")(t, path)
			machine, _, _ := keysOf(t)
			goneOn(t, path, machine)
		}, true},
		{"the power cut, what came behind the last seal edited, and handed to the machine to go on with", sealedRecord, func(t *testing.T, path string) {
			doesAndRebuilds(cut(131, 137)+"UPDATE chunks SET tick = tick + 1 WHERE commit_number = 128")(t, path)
			machine, _, _ := keysOf(t)
			goneOn(t, path, machine)
		}, true},
		{"opened again without a word: a group added behind the end mark", sealedRecord, doesAndRebuilds(copiedGroup), true},
		{"opened again by a program without a key", sealedRecord, func(t *testing.T, path string) { goneOn(t, path, nil) }, true},
		{"opened again by the machine", sealedRecord, func(t *testing.T, path string) {
			machine, _, _ := keysOf(t)
			goneOn(t, path, machine)
		}, true},
		{"a group added, and sealed by somebody else", sealedRecord, func(t *testing.T, path string) {
			doesAndRebuilds(copiedGroup)(t, path)
			_, _, other := keysOf(t)
			machine := *other
			machine.Person = false
			goneOn(t, path, &machine)
		}, true},
		{"opened again by the machine, and all of that cut off: as it was", sealedRecord, func(t *testing.T, path string) {
			machine, _, _ := keysOf(t)
			goneOn(t, path, machine)
			doesAndRebuilds(cut(137, 139))(t, path)
		}, true},
		{"the clock set back while it was recorded", func(t *testing.T) string { return beside(t, "back.arc") }, clockSetBack, true},
		{"the clock set back by who made the chain anew", sealedRecord, doesAndRebuilds("UPDATE commits SET wall = wall - 3600000000000 WHERE number BETWEEN 20 AND 30"), false},
	}
}

// copiedGroup is one more group, without samples.
const copiedGroup = `INSERT INTO commits SELECT number + 1, wall + 1000000000, epoch, NULL, NULL, 0, 0, 0, 0, NULL FROM commits ORDER BY number DESC LIMIT 1`

func goneOn(t *testing.T, path string, k *seal.Key) {
	t.Helper()
	h := newHand()
	h.at = h.at.Add(time.Hour)
	w, err := appendTo(path, h.options())
	require.NoError(t, err)
	if k != nil {
		w.SealWith(k)
	}
	require.NoError(t, w.Close())
}

func clockSetBack(t *testing.T, path string) {
	machine, _, _ := keysOf(t)
	h := newHand()
	w, err := create(path, Meta{Job: "j"}, h.options())
	require.NoError(t, err)
	w.SealWith(machine)
	goOn(t, w, h, 0, 3)
	h.at = h.at.Add(-time.Hour)
	goOn(t, w, h, 3, 2)
	require.NoError(t, w.Close())
}
