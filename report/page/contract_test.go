package page

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/getkin/kin-openapi/routers/legacy"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/report/page/form"
	"arctally/report/page/live"
	"arctally/report/sheet"
)

// contract is openapi.yaml, and how it is held against requests and answers.
type contract struct {
	document *openapi3.T
	router   routers.Router
}

var loadContract = sync.OnceValue(func() contract {
	document := must(openapi3.NewLoader().LoadFromData(contractText))
	document.Servers = openapi3.Servers{{URL: "http://127.0.0.1:8080/api"}} // that router wants to know where
	for _, media := range []string{"application/pdf", "image/png", "text/html", "text/event-stream", "application/yaml", "application/vnd.apache.parquet", "text/csv"} {
		openapi3filter.RegisterBodyDecoder(media, openapi3filter.FileBodyDecoder)
	}
	return contract{document, must(legacy.NewRouter(document))}
})

func TestContract_IsAnOpenAPIDocument(t *testing.T) {
	require.NoError(t, loadContract().document.Validate(t.Context()))
}

// check holds a request and its answer against the contract. A request that is
// wrong on purpose is not held against it, but its answer is.
func (c contract) check(t testing.TB, r *http.Request, body []byte, answer *http.Response, content []byte) {
	t.Helper()
	route, parameters, err := c.router.FindRoute(r)
	require.NoError(t, err, "%s %s is in the contract", r.Method, r.URL)
	for name, escaped := range parameters { // which that router leaves as they are
		parameters[name], err = url.PathUnescape(escaped)
		require.NoError(t, err)
	}
	in := &openapi3filter.RequestValidationInput{Request: r, PathParams: parameters, Route: route}
	if answer.StatusCode < http.StatusBadRequest {
		r.Body = io.NopCloser(bytes.NewReader(body))
		require.NoError(t, openapi3filter.ValidateRequest(r.Context(), in), "%s %s", r.Method, r.URL)
	}
	out := &openapi3filter.ResponseValidationInput{
		RequestValidationInput: in, Status: answer.StatusCode, Header: answer.Header,
		Options: &openapi3filter.Options{IncludeResponseStatus: true, MultiError: true},
	}
	out.SetBodyBytes(content)
	require.NoError(t, openapi3filter.ValidateResponse(r.Context(), out), "%s %s: %s", r.Method, r.URL, content[:min(len(content), 2000)])
}

func TestContract_HasTheRoutesOfTheServerAndNoOther(t *testing.T) {
	c := loadContract()
	var documented, served []string
	for path, item := range c.document.Paths.Map() {
		for method := range item.Operations() {
			documented = append(documented, method+" /api"+path)
		}
	}
	for _, route := range (&server{}).routes() {
		served = append(served, route.pattern)
	}
	assert.ElementsMatch(t, documented, served)
}

func TestContract_RefusesAnUnknownOperation(t *testing.T) {
	_, _, err := loadContract().router.FindRoute(httptest.NewRequest(http.MethodPatch, "/api/house", nil))
	require.Error(t, err)
}

// sent are the Go types of what goes over the wire, and whether pages send it.
var sent = map[string]any{
	"House": House{}, "Form": form.Form{}, "Filled": filled{}, "Values": formValues{}, "PlanRequest": planRequest{}, "Plan": sheet.PlanList{},
	"PortRow": PortRow{}, "CheckKind": CheckKind{}, "CheckList": checkList{}, "CheckRequest": CheckRequest{}, "SetUpCheck": calib.Check{},
	"StartRequest": StartRequest{}, "Started": Started{}, "NoteRequest": NoteRequest{}, "NoteKept": NoteKept{}, "Live": live.State{}, "Strip": live.Strip{}, "Bead": live.Bead{}, "SeenRequest": SeenRequest{},
	"Judging": Judging{}, "Reviewed": Reviewed{}, "Comparison": sheet.ComparisonObject{}, "PassPage": sheet.PassPage{}, "PassAlone": sheet.PassAlone{}, "CellAlone": sheet.CellAlone{}, "Events": EventsAnswer{}, "EventAlone": sheet.EventAlone{}, "Entry": entryRow{}, "EntryRequest": EntryRequest{},
	"EntryKept": EntryKept{}, "PhotographKept": PhotographKept{}, "Integrity": Integrity{}, "Trouble": trouble{},
	"Standing": Standing{}, "PairRequest": PairRequest{}, "OfferRequest": OfferRequest{}, "Offer": Offer{}, "DeviceRow": DeviceRow{}, "DeviceList": DeviceList{}, "FleetAnswer": FleetAnswer{},
}

func TestContract_HasTheFieldsOfTheTypesAndNoOther(t *testing.T) {
	c := loadContract()
	for name, value := range sent {
		same(t, name, c.document.Components.Schemas[name], reflect.TypeOf(value), map[reflect.Type]bool{})
	}
}

// same holds a type against its schema, and all that it is made of.
func same(t *testing.T, where string, ref *openapi3.SchemaRef, kind reflect.Type, seen map[reflect.Type]bool) {
	t.Helper()
	require.NotNil(t, ref, where)
	schema := ref.Value
	pointer := kind.Kind() == reflect.Pointer
	if pointer {
		kind = kind.Elem()
		assert.True(t, schema.Nullable || seen[nil], "%s may be null", where)
	}
	if len(schema.AllOf) == 1 {
		schema = schema.AllOf[0].Value
	}
	switch {
	case kind.Kind() == reflect.Interface, kind == reflect.TypeFor[json.RawMessage](), kind == reflect.TypeFor[time.Time]():
	case kind.Kind() == reflect.Slice:
		require.NotNil(t, schema.Items, where)
		element := kind.Elem()
		if element.Kind() == reflect.Pointer && element.Elem().Kind() == reflect.Struct {
			element = element.Elem() // none of them is nil
		}
		same(t, where+"[]", schema.Items, element, seen)
	case kind.Kind() == reflect.Struct && !seen[kind]:
		seen[kind] = true
		sameFields(t, where, schema, kind, seen)
	}
}

func sameFields(t *testing.T, where string, schema *openapi3.Schema, kind reflect.Type, seen map[reflect.Type]bool) {
	t.Helper()
	var names []string
	for _, sent := range reflect.VisibleFields(kind) {
		if sent.Anonymous || !sent.IsExported() { // of what is embedded the fields are sent
			continue
		}
		name, option, _ := strings.Cut(sent.Tag.Get("json"), ",")
		require.NotEmpty(t, name, "%s.%s", where, sent.Name)
		names = append(names, name)
		property := schema.Properties[name]
		if !assert.NotNil(t, property, "%s.%s is not in the contract", where, name) {
			continue
		}
		field := sent.Type
		if option == "omitempty" {
			assert.NotContains(t, schema.Required, name, where)
			for field.Kind() == reflect.Pointer {
				field = field.Elem()
			}
		}
		if field.Kind() == reflect.Pointer && strings.HasSuffix(where, "Request") {
			field = field.Elem() // pages leave it out
		}
		same(t, where+"."+name, property, field, seen)
	}
	for name := range schema.Properties {
		assert.Contains(t, names, name, "%s has a field that nobody fills", where)
	}
}

// answer is what came back.
type answer struct {
	t      testing.TB
	status int
	header http.Header
	body   []byte
}

func (a answer) into(value any) {
	a.t.Helper()
	require.NoError(a.t, json.Unmarshal(a.body, value), "%s", a.body)
}

// trouble is the answer of what cannot be done; all of them say what to do next.
func (a answer) trouble(status int) trouble {
	a.t.Helper()
	require.Equal(a.t, status, a.status, "%s", a.body)
	var is trouble
	a.into(&is)
	assert.NotEmpty(a.t, is.Error)
	assert.NotEmpty(a.t, is.Hint)
	return is
}

func (a answer) fields(status int) (names []string) {
	a.t.Helper()
	for _, field := range a.trouble(status).Fields {
		assert.NotEmpty(a.t, field.Error)
		names = append(names, field.Field)
	}
	return names
}

// site is a server with its bench; all that is asked of it is held against the contract.
type site struct {
	t        testing.TB
	bench    *bench
	hub      *Hub
	handler  http.Handler
	contract contract
	log      *bytes.Buffer
}

// ask sends a request; headers are given as name, value, name, value.
func (s *site) ask(method, path string, body any, headers ...string) answer {
	s.t.Helper()
	var sent []byte
	switch body := body.(type) {
	case nil:
	case []byte:
		sent = body
	case string:
		sent = []byte(body)
	default:
		var err error
		sent, err = json.Marshal(body)
		require.NoError(s.t, err)
	}
	r := httptest.NewRequest(method, "http://127.0.0.1:8080"+path, bytes.NewReader(sent))
	if body != nil {
		r.Header.Set("Content-Type", "application/json")
	}
	for pair := range slices.Chunk(headers, 2) {
		if r.Header.Set(pair[0], pair[1]); pair[0] == "Host" {
			r.Host = pair[1]
		}
	}
	w := httptest.NewRecorder()
	s.handler.ServeHTTP(w, r)
	result := w.Result()
	content, err := io.ReadAll(result.Body)
	require.NoError(s.t, err)
	assert.NotEmpty(s.t, result.Header.Get("Content-Security-Policy"))
	assert.Equal(s.t, "nosniff", result.Header.Get("X-Content-Type-Options"))
	if strings.HasPrefix(path, "/api/") && s.documented(r) {
		r.URL.Host, r.Host = "127.0.0.1:8080", "127.0.0.1:8080"
		s.contract.check(s.t, r, sent, result, content)
	}
	return answer{s.t, result.StatusCode, result.Header, content}
}

// documented leaves out what a server adds to any operation, and paths that
// cannot be, on which tests show what is said of them.
func (s *site) documented(r *http.Request) bool {
	return r.Method != http.MethodHead && !strings.Contains(r.URL.Path, "/nowhere") && r.Method != http.MethodPatch
}

func (s *site) get(path string, into any) answer {
	s.t.Helper()
	a := s.ask(http.MethodGet, path, nil)
	require.Equal(s.t, http.StatusOK, a.status, "%s", a.body)
	if into != nil {
		a.into(into)
	}
	return a
}

func recordPath(rest string) string { return fmt.Sprintf("/api/records/%s%s", "boom%20pin", rest) }
