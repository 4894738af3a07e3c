package page

import (
	"log/slog"
	"net/http"
	"strings"
	"time"

	"github.com/klauspost/compress/gzhttp"
	"github.com/klauspost/compress/gzip"
)

// Limits of a connection. What takes long sets its own.
const (
	headerTime  = 10 * time.Second
	idleTime    = 2 * time.Minute
	headerBytes = 64 << 10
)

// New returns a server of the pages, which ends its streams when it is shut down.
func New(o Options) *http.Server {
	s := &http.Server{
		Handler:           Handler(o),
		ReadHeaderTimeout: headerTime,
		IdleTimeout:       idleTime,
		MaxHeaderBytes:    headerBytes,
		ErrorLog:          slog.NewLogLogger(o.Log.Handler(), slog.LevelWarn),
	}
	s.RegisterOnShutdown(o.Hub.Close)
	return s
}

// Handler returns what answers the requests of the pages. It panics where
// something is left out.
func Handler(o Options) http.Handler {
	if o.Workshop == nil || o.Explain == nil || o.Hub == nil || o.Log == nil {
		panic("page: a server needs a workshop, an explanation, a hub and a log")
	}
	s := &server{Workshop: o.Workshop, explain: o.Explain, hub: o.Hub, log: o.Log, questions: questions{open: map[string]*question{}}}
	return s.guard(o.Hosts, s.mux())
}

// route is one operation of the contract.
type route struct {
	pattern string // of http.ServeMux
	answer  func(w http.ResponseWriter, r *http.Request) error
}

// routes are all operations of openapi.yaml.
func (s *server) routes() []route {
	return []route{
		{"GET /api/house", s.house},
		{"GET /api/events", s.events},
		{"GET /api/forms/{kind}", s.form},
		{"GET /api/files/{kind}/{file}", s.readFile},
		{"PUT /api/files/{kind}/{file}", s.writeFile},
		{"POST /api/plan", s.plan},
		{"GET /api/check-kinds", s.checkKinds},
		{"GET /api/checks/{record}", s.checks},
		{"POST /api/checks/{record}", s.check},
		{"GET /api/ports", s.listen},
		{"GET /api/checks/{record}/offers", s.offers},
		{"POST /api/checks/{record}/offers", s.takeOver},
		{"GET /api/checks/{record}/before", s.before},
		{"GET /api/recording", s.live},
		{"POST /api/recording", s.start},
		{"DELETE /api/recording", s.stop},
		{"GET /api/recording/strip", s.strip},
		{"POST /api/recording/notes", s.liveNote},
		{"GET /api/live/bead", s.bead},
		{"POST /api/live/seen", s.seen},
		{"GET /api/records/{record}", s.review},
		{"GET /api/records/{record}/passes", s.passPage},
		{"GET /api/records/{record}/passes/{pass}", s.passAlone},
		{"GET /api/records/{record}/cells/{row}/{column}", s.cellAlone},
		{"GET /api/records/{record}/events", s.eventPage},
		{"GET /api/records/{record}/events/{event}", s.eventAlone},
		{"GET /api/records/{record}/trace", s.trace},
		{"GET /api/records/{record}/comparison", s.comparison},
		{"GET /api/records/{record}/entries", s.entries},
		{"POST /api/records/{record}/entries", s.enter},
		{"POST /api/records/{record}/photographs", s.addPhotograph},
		{"GET /api/records/{record}/photographs/{sha256}", s.photograph},
		{"POST /api/records/{record}/notes", s.note},
		{"GET /api/records/{record}/file/{form}", s.file},
		{"GET /api/records/{record}/integrity", s.integrity},
		{"GET /api/openapi.yaml", s.contract},
	}
}

// uncompressed are the operations that compress their answers themselves, or that gain nothing.
var uncompressed = map[string]bool{
	"GET /api/events": true,
	"GET /api/records/{record}/photographs/{sha256}": true,
}

// compressing answers in fewer bytes, piece by piece, where the browser takes them.
// The samples of a job are hundreds of megabytes, and the machine may have to record
// meanwhile: so it takes the way of least work. What is compressed already stays
// as it is.
func compressing() func(http.Handler) http.HandlerFunc {
	wrap, err := gzhttp.NewWrapper(gzhttp.CompressionLevel(gzip.BestSpeed), gzhttp.ContentTypeFilter(func(media string) bool {
		return media != fileTypes[PDF].media && media != fileTypes[Parquet].media && gzhttp.DefaultContentTypeFilter(media)
	}))
	if err != nil {
		panic("page: " + err.Error()) // no option above can be wrong
	}
	return wrap
}

func (s *server) mux() http.Handler {
	mux, compressed := http.NewServeMux(), compressing()
	for _, route := range s.routes() {
		answer, packs := route.answer, uncompressed[route.pattern]
		switch {
		case shared[route.pattern]:
			answer, packs = s.sharing(answer), true
		case !strings.HasPrefix(route.pattern, "GET "):
			answer = s.changing(answer)
		}
		var handler http.Handler = s.answering(answer)
		if !packs {
			handler = compressed(handler)
		}
		mux.Handle(route.pattern, handler)
	}
	mux.Handle("/api/", s.answering(noOperation(mux)))
	mux.Handle("/", compressed(s.answering(newAssets(bundle()).serve)))
	return mux
}
