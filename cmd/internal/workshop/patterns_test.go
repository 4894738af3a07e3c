package workshop

import (
	"bytes"
	"encoding/json"
	"io"
	"io/fs"
	"maps"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	planning "arctally/analyze/plan"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/page"
	"arctally/report/page/form"
	"arctally/report/page/live"
	"arctally/report/sheet"
)

// fromForms are a job and a procedure as a person fills the forms in, needed fields and
// what a plan asks for, in the units and the habit of either kind of shop.
var fromForms = map[string]struct{ job, procedure map[string]string }{
	"metric": {
		map[string]string{
			"job": "Boom, left", "procedure": "procedures/mag.yaml", "people.operator": "Operator 1",
			"bore.worn_diameter": "92,5 mm", "bore.finish_diameter": "90 mm", "bore.weld_to_diameter": "86,0 mm", "bore.length": "24 mm",
			"deposit.pitch": "3 mm", "deposit.wire_diameter": "0,9 mm", "rotation.speed": "1,25 rpm",
			"setpoints.voltage": "17,5 V", "setpoints.current": "140 A", "setpoints.wire_speed": "5,5 m/min", "setpoints.travel_speed": "360 mm/min",
		},
		map[string]string{
			"procedure": "SHOP-3", "process": "MAG", "limits.voltage": "16,5..19,0 V", "limits.current": "110..160 A",
			"limits.travel_speed": "280..420 mm/min", "limits.heat_input": "0,25..0,55 kJ/mm", "judge.definition": "EN 1011-1",
		},
	},
	"US": {
		map[string]string{
			"job": "Boom, left", "procedure": "procedures/mag.yaml", "people.operator": "Operator 1",
			"bore.worn_diameter": "3 5/8 in", "bore.finish_diameter": "3-17/32 in", "bore.weld_to_diameter": "3 3/8 in", "bore.length": "15/16 in",
			"deposit.pitch": "1/8 in", "deposit.wire_diameter": ".035 in", "rotation.speed": "1.25 rpm",
			"setpoints.voltage": "17.5 V", "setpoints.current": "140 A", "setpoints.wire_speed": "215 in/min", "setpoints.travel_speed": "14 in/min",
		},
		map[string]string{
			"procedure": "SHOP-3", "process": "MAG", "limits.voltage": "16.5..19.0 V", "limits.current": "110..160 A",
			"limits.travel_speed": "11..16.5 in/min", "limits.heat_input": "6..14 kJ/in", "judge.definition": "arc energy",
		},
	},
}

// TestForms_EveryPatternCanBeLaid: each pattern is laid from the forms in either units,
// with the faults of the demo, and nobody reads an error.
func TestForms_EveryPatternCanBeLaid(t *testing.T) {
	for units, typed := range fromForms {
		for _, pattern := range []string{"helix", "rings", "segment-reversing", "segment-one-way"} {
			t.Run(units+" "+pattern, func(t *testing.T) {
				values := typed.job
				values["deposit.pattern"] = pattern
				if pattern == "segment-reversing" || pattern == "segment-one-way" {
					values["deposit.gaps.0.from"], values["deposit.gaps.0.to"] = "80 deg", "116 deg"
				}
				p := filled(t, values, typed.procedure)
				require.NoError(t, p.Unsure())
				_, err := planning.Make(p.Job, planning.Options{})
				require.NoError(t, err)
				options := virtualbox.Options{Speed: 60, Faults: virtualbox.DefaultFaults}
				_, err = virtualbox.New(p, options.Planned(p))
				assert.NoError(t, err)
			})
		}
	}
}

// TestServe_EveryPatternFromTheForms saves the forms, plans the job, lays it and has the
// record judged, and reads no error on the way. Each pattern in one of the units; all of
// them with ARCTALLY_CAMPAIGN.
func TestServe_EveryPatternFromTheForms(t *testing.T) {
	s := serveFolder(t, t.TempDir(), Options{Box: &virtualbox.Options{Speed: boxSpeed, Faults: virtualbox.DefaultFaults}})
	for units, typed := range fromForms {
		for _, pattern := range []string{"helix", "rings", "segment-reversing", "segment-one-way"} {
			if us := pattern == "rings" || pattern == "segment-one-way"; os.Getenv("ARCTALLY_CAMPAIGN") == "" && us != (units == "US") {
				continue
			}
			name := strings.ToLower(units) + "-" + pattern
			job := maps.Clone(typed.job)
			job["procedure"], job["deposit.pattern"] = "procedures/"+name+".yaml", pattern
			job["bore.length"] = map[string]string{"metric": "6,5 mm", "US": "1/4 in"}[units] // two turns
			job["bore.weld_to_diameter"] = map[string]string{"metric": "89,5 mm", "US": "3 33/64 in"}[units]
			if strings.HasPrefix(pattern, "segment") {
				job["deposit.gaps.0.from"], job["deposit.gaps.0.to"] = "80 deg", "116 deg"
			}
			s.save(form.Procedure, name, typed.procedure, http.StatusOK)
			s.save(form.Job, name, job, http.StatusOK)
			s.ask(http.MethodPost, "/plan", http.StatusOK, map[string]any{"file": name}, nil)
			require.Equal(t, page.Started{Record: name}, s.start(page.StartRequest{Job: name}))
			end := s.until("the end of "+name, over)
			require.Equal(t, live.Ended, end.Phase, "%s: %+v", name, end.Trouble)
			passes := map[string]int{"helix": 1, "rings": 2}[pattern]
			assert.GreaterOrEqual(t, end.Counts.Passes, max(passes, 1), name)
			assert.NotNil(t, s.review(name).Review, name)
		}
	}
}

// TestServe_DoubtedFile: a slip is no file, until it is said again; one that somebody wrote
// by hand is planned with a warning, and not recorded.
func TestServe_DoubtedFile(t *testing.T) {
	s := serveFolder(t, t.TempDir(), Options{Box: &virtualbox.Options{Speed: boxSpeed, Faults: virtualbox.NoFaults}})
	slipped := maps.Clone(fromForms["metric"].procedure)
	slipped["limits.voltage"] = "165..190 V"
	told := s.save(form.Procedure, "slipped", slipped, http.StatusUnprocessableEntity)
	require.Len(t, told.Fields, 1)
	assert.Equal(t, "limits.voltage", told.Fields[0].Field)
	assert.Equal(t, "165..190 V is outside of what is usual, 8 to 60 V: arcs that lay metal burn at 10 to 45 V", told.Fields[0].Error)
	assert.NoFileExists(t, filepath.Join(s.folder, "procedures", "slipped.yaml"))
	slipped["sure.limits.voltage"] = told.Fields[0].Keep
	s.save(form.Procedure, "slipped", slipped, http.StatusOK)

	s.save(form.Procedure, "mag", fromForms["metric"].procedure, http.StatusOK)
	job := maps.Clone(fromForms["metric"].job)
	job["deposit.pattern"] = "helix"
	s.save(form.Job, "hand", job, http.StatusOK)
	file := filepath.Join(s.folder, "hand.yaml")
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(file, bytes.Replace(text, []byte("length: 24 mm"), []byte("length: 24 m"), 1), 0o600))
	var plan sheet.PlanList
	s.ask(http.MethodPost, "/plan", http.StatusOK, map[string]any{"file": "hand"}, &plan)
	require.NotEmpty(t, plan.Warnings)
	assert.Contains(t, plan.Warnings[0].Text, "bore.length 24 m is outside of what is usual")
	refused := s.refused(http.MethodPost, "/recording", http.StatusUnprocessableEntity, page.StartRequest{Job: "hand"})
	assert.Contains(t, refused.Error, "bore.length: 24 m is outside of what is usual")
	assert.Contains(t, refused.Hint, "open the form of the job")
}

// save puts what was filled in into a new file, as a page does.
func (s *site) save(kind form.Kind, name string, values map[string]string, status int) (told struct{ Fields []page.FieldProblem }) {
	s.t.Helper()
	text, err := json.Marshal(map[string]any{"values": values})
	require.NoError(s.t, err)
	request, err := http.NewRequestWithContext(s.t.Context(), http.MethodPut, s.base+"/files/"+string(kind)+"/"+name, bytes.NewReader(text))
	require.NoError(s.t, err)
	request.Header.Set("Content-Type", "application/json")
	request.Header.Set("If-None-Match", "*")
	response, err := http.DefaultClient.Do(request)
	require.NoError(s.t, err)
	answer, err := io.ReadAll(response.Body)
	require.NoError(s.t, err)
	require.NoError(s.t, response.Body.Close())
	require.Equal(s.t, status, response.StatusCode, "%s", answer)
	if status != http.StatusOK {
		require.NoError(s.t, json.Unmarshal(answer, &told))
	}
	return told
}

// filled is the job of filled-in forms.
func filled(t *testing.T, job, procedure map[string]string) *jobfile.File {
	t.Helper()
	files := fstest.MapFS{}
	for kind, values := range map[form.Kind]map[string]string{form.Job: job, form.Procedure: procedure} {
		text, problems := form.Apply(kind, nil, values)
		require.Empty(t, problems)
		require.Empty(t, form.Doubts(kind, text))
		files[map[form.Kind]string{form.Job: "job.yaml", form.Procedure: "procedures/mag.yaml"}[kind]] = &fstest.MapFile{Data: text, Mode: fs.ModePerm}
	}
	p, err := jobfile.ReadIn(files, "job.yaml")
	require.NoError(t, err)
	return p
}
