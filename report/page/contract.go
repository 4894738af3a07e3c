package page

import (
	_ "embed" // of the contract
	"net/http"
	"regexp"
	"sync"

	"go.yaml.in/yaml/v3"
)

//go:embed openapi.yaml
var contractText []byte

// contract sends the contract itself.
func (s *server) contract(w http.ResponseWriter, _ *http.Request) error {
	w.Header().Set("Content-Type", "application/yaml")
	w.Header().Set("Cache-Control", "no-cache")
	_, _ = w.Write(contractText)
	return nil
}

// names are the patterns of the contract for the parts of a path; none of them
// leads out of a folder. They stand there alone: whoever names a file asks here.
var names = sync.OnceValue(func() map[string]*regexp.Regexp {
	var contract struct {
		Components struct {
			Parameters map[string]struct {
				Schema struct{ Pattern string }
			}
		}
	}
	if err := yaml.Unmarshal(contractText, &contract); err != nil {
		panic("page: the contract cannot be read: " + err.Error())
	}
	patterns := map[string]*regexp.Regexp{}
	for _, part := range []string{"file", "record", "sha256"} {
		patterns[part] = regexp.MustCompile(contract.Components.Parameters[part].Schema.Pattern)
	}
	return patterns
})

// FileName tells whether a job or procedure file can be called that, without its ending.
func FileName(name string) bool { return names()["file"].MatchString(name) }

// RecordName tells whether a record can be called that, without its ending.
func RecordName(name string) bool { return names()["record"].MatchString(name) }

// digestText tells whether that is how a photograph is named.
func digestText(text string) bool { return names()["sha256"].MatchString(text) }
