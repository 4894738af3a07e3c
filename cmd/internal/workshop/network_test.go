package workshop

import (
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/seal"
	"arctally/cmd/internal/entrance"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/sealing"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/page"
	"arctally/report/page/live"
)

// networkSite serves one turn of a job to the network, and is the page at the machine itself.
func networkSite(t *testing.T) (s *site, keys string) {
	t.Helper()
	keys = filepath.Join(t.TempDir(), "keys")
	sealing.Use(seal.Folder(keys))
	t.Cleanup(func() { sealing.Use("") })
	s = serveFolder(t, filepath.Dir(jobtest.Short(t, "helix", jobtest.TenTurns)), Options{
		Listen: ":0", Box: &virtualbox.Options{Speed: slowSpeed, Layers: 1, Faults: "arc-out"}, Door: entrance.Options{Role: page.Operate},
	})
	at, err := url.Parse(s.base)
	require.NoError(t, err)
	s.base = "http://127.0.0.1:" + at.Port() + "/api"
	return s, keys
}

// tablet is a device that trusts the authority of the machine and nothing else.
func (s *site) tablet(keys string) *site {
	s.t.Helper()
	text, err := os.ReadFile(filepath.Join(keys, "authority.crt"))
	require.NoError(s.t, err)
	block, _ := pem.Decode(text)
	authority, err := x509.ParseCertificate(block.Bytes)
	require.NoError(s.t, err)
	pool := x509.NewCertPool()
	pool.AddCert(authority)
	jar, err := cookiejar.New(nil)
	require.NoError(s.t, err)
	transport := &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool, MinVersion: tls.VersionTLS13}, ForceAttemptHTTP2: true}
	s.t.Cleanup(transport.CloseIdleConnections)
	return &site{t: s.t, folder: s.folder, base: "https" + s.base[len("http"):], told: s.told, client: &http.Client{Transport: transport, Jar: jar}}
}

// TestNetwork is a day on the network: who looks, who operates, who inspects, and what the
// record says of it.
func TestNetwork(t *testing.T) {
	here, keys := networkSite(t)
	stranger := here.tablet(keys)
	for _, path := range []string{"/house", "/recording", "/records/job", "/records/job/file/pdf", "/events", "/devices", "/openapi.yaml"} {
		stranger.refused(http.MethodGet, path, http.StatusUnauthorized, nil)
	}
	stranger.refused(http.MethodPost, "/recording", http.StatusUnauthorized, page.StartRequest{Job: "job"})
	stranger.refused(http.MethodDelete, "/recording", http.StatusUnauthorized, nil)
	stranger.refused(http.MethodPost, "/devices", http.StatusUnauthorized, page.OfferRequest{Role: page.Manage})
	code := regexp.MustCompile(`within 10 minutes: (\d{4} \d{4})`).FindStringSubmatch(here.told.String())
	require.NotNil(t, code, here.told.String())

	operator := here.tablet(keys)
	var standing page.Standing
	operator.ask(http.MethodPost, "/door", http.StatusCreated, page.PairRequest{Code: code[1], Name: "Tablet 1"}, &standing)
	assert.Equal(t, page.Operate, standing.Role)
	stranger.refused(http.MethodPost, "/door", http.StatusForbidden, page.PairRequest{Code: code[1], Name: "Tablet 2"})

	operator.start(page.StartRequest{Job: "job", By: "Operator 1", Without: []string{"gas flow: not checked"}})
	operator.until("an arc that something was found in", func(l *live.State) bool { return l.ArcOn && l.Counts.Findings > 0 })
	operator.ask(http.MethodPost, "/recording/notes", http.StatusCreated, page.NoteRequest{By: "Operator 1", Kind: page.NoteText, Value: "bottle changed"}, nil)
	operator.refused(http.MethodPost, "/records/job/entries", http.StatusForbidden, page.EntryRequest{By: "Operator 1", Finding: 1})
	operator.refused(http.MethodGet, "/devices", http.StatusForbidden, nil)
	stranger.refused(http.MethodDelete, "/recording", http.StatusUnauthorized, nil)
	operator.ask(http.MethodDelete, "/recording", http.StatusOK, nil, nil)

	var offer page.Offer
	here.ask(http.MethodPost, "/devices", http.StatusCreated, page.OfferRequest{Role: page.Inspect}, &offer)
	inspector := here.tablet(keys)
	inspector.ask(http.MethodPost, "/door", http.StatusCreated, page.PairRequest{Code: offer.Code, Name: "Tablet 1"}, &standing)
	assert.Equal(t, "Tablet 2", standing.Device)
	require.NotEmpty(t, inspector.review("job").Review.Extents)
	inspector.ask(http.MethodPost, "/records/job/entries", http.StatusCreated, page.EntryRequest{
		By: "Inspector 1", Finding: 1, Method: "visual", Result: "no indication", Decision: "accept",
	}, nil)
	inspector.refused(http.MethodPost, "/recording", http.StatusForbidden, page.StartRequest{Job: "job"})

	_, notes := here.send(http.MethodGet, "/records/job/file/json", nil)
	assert.Contains(t, string(notes), "Operator 1, at Tablet 1 (operate)")
	assert.Contains(t, string(notes), "begun knowingly with: gas flow: not checked")
	assert.Contains(t, string(notes), "recording ended")
	_, entries := here.send(http.MethodGet, "/records/job/entries", nil)
	assert.Contains(t, string(entries), `"by":"Inspector 1, at Tablet 2 (inspect)"`)
	var h page.House
	here.ask(http.MethodGet, "/house", http.StatusOK, nil, &h)
	assert.Equal(t, "Operator 1", *h.Operator, "who was here is a person")

	var list page.DeviceList
	here.ask(http.MethodGet, "/devices", http.StatusOK, nil, &list)
	require.Len(t, list.Devices, 2)
	here.ask(http.MethodDelete, "/devices/"+list.Devices[0].ID, http.StatusOK, nil, &list)
	operator.refused(http.MethodGet, "/house", http.StatusUnauthorized, nil)
	here.refused(http.MethodDelete, "/devices/"+list.Devices[0].ID+"0", http.StatusNotFound, nil)
	inspector.ask(http.MethodGet, "/house", http.StatusOK, nil, nil)
	assert.Contains(t, here.told.String(), "shut out: Tablet 1\n")
	assert.Contains(t, here.told.String(), `Tablet 1 (operate) was refused (Forbidden): POST "/api/records/job/entries"`)
}
