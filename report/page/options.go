package page

import "log/slog"

// Options is what a server is made of.
type Options struct {
	Workshop Workshop
	Explain  Explain
	Hub      *Hub
	Log      *slog.Logger // of what went wrong here
	// Hosts are the names by which this machine may be called, beside localhost
	// and any address in figures.
	Hosts []string
}

// server answers requests.
type server struct {
	Workshop
	explain   Explain
	hub       *Hub
	log       *slog.Logger
	questions questions
}
