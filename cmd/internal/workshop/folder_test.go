package workshop

import (
	"database/sql"
	"io"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/cmd/internal/apart/aparttest"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/terminal"
	"arctally/report/page"
)

// TestServe_House lists what is broken with what is wrong in it.
func TestServe_House(t *testing.T) {
	job := jobtest.Short(t, "helix", jobtest.TwoTurns)
	folder := filepath.Dir(job)
	write := func(name, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600))
	}
	write("broken.yaml", "job: [\n")
	write("wrong.yaml", "job: x\nprocedure: procedures/gmaw-short-arc.yaml\nspeed: 7\n")
	write("Big Name.yaml", readText(t, job))
	write("lost.yaml", strings.Replace(readText(t, job), "procedures/gmaw", "../../gmaw", 1))
	write("notes.yaml", "shopping: [wire]\n")
	write("junk.arctally", "not a record at all, though long enough to look like one")
	require.NoError(t, os.Symlink("/etc/hostname", filepath.Join(folder, "link.yaml")))
	require.NoError(t, os.Symlink("/etc/hostname", filepath.Join(folder, "link.arctally")))
	newer := filepath.Join(folder, "newer.arctally")
	p, err := jobfile.Read(job)
	require.NoError(t, err)
	writer, err := p.CreateRecord(newer, time.Now())
	require.NoError(t, err)
	require.NoError(t, writer.Close())
	db, err := sql.Open("sqlite", newer)
	require.NoError(t, err)
	_, err = db.Exec("PRAGMA user_version = 4711")
	require.NoError(t, err)
	require.NoError(t, db.Close())

	s := demoSite(t, job, boxSpeed)
	var h page.House
	s.ask(http.MethodGet, "/house", http.StatusOK, nil, &h)
	jobs := map[string]page.FileRow{}
	for _, row := range h.Jobs {
		jobs[row.File] = row
	}
	var gone struct{ Error string }
	s.ask(http.MethodGet, "/files/job/never", http.StatusNotFound, nil, &gone)
	assert.Equal(t, "never.yaml is not in this folder", gone.Error)
	require.Nil(t, jobs["job"].Error)
	assert.Equal(t, "gmaw-short-arc", *jobs["job"].Procedure)
	assert.NotContains(t, jobs, "notes", "that is no job")
	for name, want := range map[string]string{
		"broken": "broken.yaml:", "wrong": "wrong.yaml:3:1", "Big Name": "cannot be the name", "lost": "outside", "link": "escapes",
	} {
		require.Contains(t, jobs, name)
		require.NotNil(t, jobs[name].Error, name)
		assert.Contains(t, *jobs[name].Error, want)
	}
	records := map[string]page.RecordRow{}
	for _, row := range h.Records {
		records[row.Record] = row
	}
	for name, want := range map[string]string{"junk": "not a record", "newer": "newer than this program", "link": "escapes"} {
		require.Equal(t, page.Unreadable, records[name].State, name)
		assert.Contains(t, *records[name].Error, want)
	}
	told := s.refused(http.MethodGet, "/records/newer", http.StatusConflict, nil)
	assert.Contains(t, told.Hint, "later")
	s.refused(http.MethodGet, "/records/junk", http.StatusConflict, nil)
	s.refused(http.MethodGet, "/records/nowhere", http.StatusNotFound, nil)
	s.refused(http.MethodPost, "/recording", http.StatusUnprocessableEntity, page.StartRequest{Job: "wrong"})
}

func readText(t *testing.T, file string) string {
	t.Helper()
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	return string(text)
}

// TestServe_Outside asks for what lies outside of the folder, in every way there is.
func TestServe_Outside(t *testing.T) {
	job := jobtest.Short(t, "helix", jobtest.TwoTurns)
	inner := filepath.Join(filepath.Dir(job), "inner")
	require.NoError(t, os.Mkdir(inner, 0o750))
	p, err := jobfile.Read(job)
	require.NoError(t, err)
	writer, err := p.CreateRecord(filepath.Join(filepath.Dir(job), "secret.arctally"), time.Now())
	require.NoError(t, err)
	require.NoError(t, writer.Close())
	require.NoError(t, os.Symlink("..", filepath.Join(inner, "procedures")))
	require.NoError(t, os.Symlink("../secret.arctally", filepath.Join(inner, "link.arctally")))
	require.NoError(t, os.Symlink("../job.yaml", filepath.Join(inner, "link.yaml")))
	s := serveFolder(t, inner, Options{})
	for _, name := range []string{
		"../secret", "..%2fsecret", "%2e%2e%2fsecret", "%2e%2e/secret", "/etc/passwd", url.PathEscape(filepath.Dir(job) + "/secret"), "secret%00", "link", "a%2f..%2f..%2fsecret",
	} {
		for _, path := range []string{"/records/" + name, "/records/" + name + "/file/json", "/files/job/" + name, "/files/procedure/" + name} {
			status, answer := s.send(http.MethodGet, path, nil)
			assert.Contains(t, []int{http.StatusBadRequest, http.StatusNotFound, http.StatusConflict, http.StatusInternalServerError, http.StatusMethodNotAllowed}, status, path)
			assert.NotContains(t, string(answer), "boom pin", path)
			assert.NotContains(t, string(answer), "DEMO-07", path)
		}
	}
	for _, name := range []string{"../x", "link", "a/b", "..", "x\x00y"} {
		status, _ := s.send(http.MethodPost, "/recording", page.StartRequest{Job: name})
		assert.GreaterOrEqual(t, status, 400, name)
		status, _ = s.send(http.MethodPost, "/recording", page.StartRequest{Job: "job", Record: name})
		assert.GreaterOrEqual(t, status, 400, name)
	}
	var h page.House
	s.ask(http.MethodGet, "/house", http.StatusOK, nil, &h)
	for _, row := range h.Jobs {
		assert.Nil(t, row.Name, "a job from outside: %s", row.File)
	}
	require.Error(t, s.folderOf().replace("procedures/new.yaml", []byte("x"), page.Version{New: true}))
	assert.NoFileExists(t, filepath.Join(filepath.Dir(job), "new.yaml"))
}

// folderOf opens the folder beside the one that is served.
func (s *site) folderOf() *folder {
	root, err := os.OpenRoot(s.folder)
	require.NoError(s.t, err)
	s.t.Cleanup(func() { require.NoError(s.t, root.Close()) })
	return &folder{path: s.folder, root: root, seen: newRowCache()}
}

// TestServe_Lock lets one program serve a folder.
func TestServe_Lock(t *testing.T) {
	s := demoSite(t, jobtest.Short(t, "helix", jobtest.TwoTurns), boxSpeed)
	quiet, ready := terminal.New(io.Discard, io.Discard), func(net.Addr) { assert.Fail(t, "it is served twice") }
	err := new(Options{Listen: "127.0.0.1:0", Recorders: aparttest.Within(time.Now)}).Serve(t.Context(), quiet, s.folder, ready)
	assert.ErrorContains(t, err, "serves this folder already")
	other := strings.TrimSuffix(strings.TrimPrefix(s.base, "http://"), "/api")
	err = new(Options{Listen: other, Recorders: aparttest.Within(time.Now)}).Serve(t.Context(), quiet, t.TempDir(), ready)
	assert.Contains(t, explain.Of(err).Hint, "choose another port")
}
