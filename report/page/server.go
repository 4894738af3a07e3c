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
	s := &server{Workshop: o.Workshop, explain: o.Explain, hub: o.Hub, log: o.Log, door: o.Door, outward: o.Outward, questions: questions{open: map[string]*question{}}}
	if s.outward == nil {
		s.outward = Outward
	}
	if s.door == nil {
		s.door = homeDoor{}
	}
	return s.guard(func(host string) bool { return o.Named || mayBeCalled(host, o.Hosts) }, s.mux())
}

// route is one operation of the contract.
type route struct {
	pattern string // of http.ServeMux
	may     []Role // who may ask for it
	answer  func(w http.ResponseWriter, r *http.Request) error
}

// routes are all operations of openapi.yaml, and who may ask for each.
func (s *server) routes() []route {
	return []route{
		{"GET /api/house", looking, s.house},
		{"GET /api/events", looking, s.events},
		{"GET /api/forms/{kind}", looking, s.form},
		{"GET /api/files/{kind}/{file}", looking, s.readFile},
		{"PUT /api/files/{kind}/{file}", operating, s.writeFile},
		{"POST /api/plan", looking, s.plan},
		{"GET /api/check-kinds", looking, s.checkKinds},
		{"GET /api/checks/{record}", looking, s.checks},
		{"POST /api/checks/{record}", operating, s.check},
		{"GET /api/ports", operating, s.listen},
		{"GET /api/checks/{record}/offers", looking, s.offers},
		{"POST /api/checks/{record}/offers", operating, s.takeOver},
		{"GET /api/checks/{record}/before", looking, s.before},
		{"GET /api/recording", looking, s.live},
		{"POST /api/recording", operating, s.start},
		{"DELETE /api/recording", operating, s.stop},
		{"GET /api/recording/strip", looking, s.strip},
		{"POST /api/recording/notes", operating, s.liveNote},
		{"GET /api/live/bead", looking, s.bead},
		{"POST /api/live/seen", operating, s.seen},
		{"GET /api/records/{record}", looking, s.review},
		{"GET /api/records/{record}/passes", looking, s.passPage},
		{"GET /api/records/{record}/passes/{pass}", looking, s.passAlone},
		{"GET /api/records/{record}/cells/{row}/{column}", looking, s.cellAlone},
		{"GET /api/records/{record}/events", looking, s.eventPage},
		{"GET /api/records/{record}/events/{event}", looking, s.eventAlone},
		{"GET /api/records/{record}/trace", looking, s.trace},
		{"GET /api/records/{record}/comparison", looking, s.comparison},
		{"GET /api/records/{record}/entries", looking, s.entries},
		{"POST /api/records/{record}/entries", inspecting, s.enter},
		{"POST /api/records/{record}/photographs", inspecting, s.addPhotograph},
		{"GET /api/records/{record}/photographs/{sha256}", looking, s.photograph},
		{"POST /api/records/{record}/notes", acting, s.note},
		{"GET /api/records/{record}/file/{form}", looking, s.file},
		{"GET /api/records/{record}/integrity", looking, s.integrity},
		{"GET /api/fleet/{question}", looking, s.allJobs},
		{"GET /api/openapi.yaml", looking, s.contract},
		{"GET /api/door", anyone, s.standing},
		{"POST /api/door", anyone, s.pair},
		{"DELETE /api/door", looking, s.leaveDoor},
		{"GET /api/devices", managing, s.devices},
		{"POST /api/devices", managing, s.offer},
		{"DELETE /api/devices/{device}", managing, s.revoke},
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
		var handler http.Handler = s.answering(admitting(route.may, answer))
		if !packs {
			handler = compressed(handler)
		}
		mux.Handle(route.pattern, handler)
	}
	mux.Handle("/api/", s.answering(noOperation(mux)))
	mux.Handle("/", compressed(s.answering(newAssets(bundle()).serve)))
	return mux
}
