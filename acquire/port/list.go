package port

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Places are where serial ports are looked for.
type Places struct {
	Links []string        // folders of lasting names, the best first
	Nodes []string        // patterns of the nodes themselves
	Names func() []string // asked of the system; nil is nobody to be asked
}

// In are the places of one folder, with names of any kind in it.
func In(folder string) Places { return Places{Links: []string{folder}} }

// Named is a port that is plugged in.
type Named struct {
	Name  string   // the one that lasts longest; what a job file is to name
	Node  string   // the device behind it now
	Other []string // its other names
}

// Lasting reports whether the name is a link, which follows the adapter: the name of a
// node may be another's tomorrow, where the system does not keep it for the adapter.
func (n Named) Lasting() bool { return n.Name != n.Node || nodesLast }

// List returns the ports that are plugged in, each once, by their best names. It reads
// names only: opening a port resets some boxes.
func (p Places) List() (ports []Named) {
	at := map[string]int{} // by node
	add := func(name string) {
		node, err := filepath.EvalSymlinks(name)
		if err != nil {
			return // its adapter was unplugged at this moment
		}
		if k, known := at[node]; known {
			if name != ports[k].Name {
				ports[k].Other = append(ports[k].Other, name)
			}
			return
		}
		at[node] = len(ports)
		ports = append(ports, Named{Name: name, Node: node})
	}
	for _, folder := range p.Links {
		entries, err := os.ReadDir(folder)
		if err != nil {
			continue // the folder is missing where no adapter is plugged in
		}
		for _, e := range entries {
			add(filepath.Join(folder, e.Name()))
		}
	}
	for _, pattern := range p.Nodes {
		// The pattern is ours: it cannot be a bad one.
		found, _ := filepath.Glob(pattern)
		for _, name := range found {
			add(name)
		}
	}
	if p.Names != nil {
		for _, name := range p.Names() {
			ports = append(ports, Named{Name: name, Node: name})
		}
	}
	slices.SortStableFunc(ports, func(a, b Named) int { return strings.Compare(a.Name, b.Name) })
	return ports
}

// Candidates returns the names of the serial adapters that are plugged in.
func Candidates() (names []string) {
	for _, n := range System().List() {
		names = append(names, n.Name)
	}
	return names
}
