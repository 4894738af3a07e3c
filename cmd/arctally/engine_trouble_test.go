//go:build linux

package main

import (
	"slices"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/report/handover/storetest"
)

// standstill is how long nothing may come in until the next tablets are begun anew, which ends their waiting;
// after so many times one after the other it is for ever.
const (
	standstill = 10 * time.Second
	mostStills = 60
)

// trouble is one thing that goes wrong; any is a number by which it is told which one of several.
type trouble struct {
	what string
	do   func(w *works, any int)
}

var (
	tabletsKilled = trouble{"two tablets are killed", func(w *works, any int) {
		w.tablets[any%tabletsAtOnce].kill()
		w.tablets[(any+1)%tabletsAtOnce].kill()
	}}
	linksCut = trouble{"the links of three tablets are cut", func(w *works, any int) {
		for n := range 3 {
			one := (any + n) % tabletsAtOnce
			w.links[one].Cut()
			w.down[one] = w.round + 2
		}
	}}
	storeKilled = trouble{"the store is killed", func(w *works, _ int) {
		w.store.Kill()
		w.store.Again()
	}}
	databaseKilled = trouble{"the database is killed", func(w *works, _ int) {
		w.primary.Kill()
		w.primary.Again(w.t)
	}}
	standbyKilled = trouble{"the standby is killed", func(w *works, _ int) {
		w.standby.Kill()
		w.standby.Again(w.t)
	}}
	takerKilled = trouble{"one who takes in is killed", func(w *works, any int) { w.takers[any%takersAtOnce].kill() }}
	allKilled   = trouble{"everything is killed at once", func(w *works, _ int) {
		w.store.Kill()
		w.primary.Kill()
		for _, b := range w.tablets {
			b.kill()
		}
		for _, l := range w.takers {
			l.kill()
		}
		w.primary.Again(w.t)
		w.store.Again()
	}}
	standbyPromoted = trouble{"the standby takes the place of the first database", func(w *works, _ int) {
		w.primary.Kill()
		w.standby.Promote(w.t)
		w.standby, w.primary = nil, w.standby
	}}
)

// mixed is what goes wrong before anything goes wrong once more, in the order that chance gives it.
var mixed = []trouble{
	tabletsKilled, tabletsKilled, tabletsKilled, linksCut, linksCut, storeKilled, storeKilled, databaseKilled, databaseKilled, standbyKilled, takerKilled, allKilled,
}

// troubles makes one thing after the other go wrong, each time when something has come in since, until all jobs have.
func (w *works) troubles() {
	stills := 0
	for ; !w.allTaken(); w.round++ {
		moved := w.await(objectsIn(w.t, w.store)+1+w.random.IntN(w.jobs/8), w.taken()+1+w.random.IntN(w.jobs/8))
		if stills++; moved {
			stills = 0
		}
		require.Less(w.t, stills, mostStills, "nothing comes in any more")
		for k, until := range w.down {
			if until <= w.round {
				w.links[k].Mend()
			}
		}
		switch {
		case !moved:
			w.trouble(tabletsKilled)
		case w.standby != nil && w.given() >= w.jobs/2:
			w.trouble(standbyPromoted)
		default:
			w.trouble(w.next())
		}
	}
}

// next draws what goes wrong next.
func (w *works) next() (drawn trouble) {
	if len(w.bag) == 0 {
		w.bag = slices.Clone(mixed)
		w.random.Shuffle(len(w.bag), func(a, b int) { w.bag[a], w.bag[b] = w.bag[b], w.bag[a] })
	}
	drawn, w.bag = w.bag[0], w.bag[1:]
	if drawn.what == standbyKilled.what && w.standby == nil {
		return w.next()
	}
	return drawn
}

func (w *works) trouble(one trouble) {
	w.did[one.what]++
	w.t.Logf("%4d %s: %d given, %d taken in", w.round, one.what, w.given(), w.taken())
	one.do(w, w.random.IntN(tabletsAtOnce))
}

// await waits until so many objects are in the store, or so many jobs in the database, or all is done; false
// where nothing has come in for long.
func (w *works) await(objects, jobs int) bool {
	begun := time.Now()
	for look := 0; time.Since(begun) < standstill; look++ {
		if objectsIn(w.t, w.store) >= objects || w.allTaken() || look%10 == 9 && w.taken() >= jobs {
			return true
		}
		time.Sleep(20 * time.Millisecond)
	}
	return false
}

// tell says how much went wrong.
func (w *works) tell() {
	var links storetest.Trouble
	for k, b := range w.tablets {
		b.end()
		links.Add(w.links[k].Did())
	}
	w.t.Logf("%d jobs; %v; connections: %+v", w.jobs, w.did, links)
}
