package page

import "log/slog"

// Options is what a server is made of.
type Options struct {
	Workshop Workshop
	Explain  Explain
	Hub      *Hub
	Log      *slog.Logger // of what went wrong here
	Door     Doorkeeper   // nil is that of pages which this machine alone can reach
	// Outward takes out of a text what the pages need not know of this machine; nil is Outward.
	Outward func(text string) string
	// Hosts are the names by which this machine may be called, beside localhost
	// and any address in figures.
	Hosts []string
	// Named says that whoever stands before this server has held the name by which it was
	// called against those of the machine.
	Named bool
}

// server answers requests.
type server struct {
	Workshop
	explain   Explain
	hub       *Hub
	log       *slog.Logger
	door      Doorkeeper
	outward   func(text string) string
	questions questions
}
