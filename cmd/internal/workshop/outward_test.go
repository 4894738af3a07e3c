package workshop

import (
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/page"
)

// TestOutward asks for everything that can go wrong in a folder whose name is easily told, and
// wants no answer to say where on the disk it lies. Some names of the folder have a space in them.
func TestOutward(t *testing.T) {
	made := filepath.Dir(jobtest.Short(t, "helix", jobtest.OneTurn))
	folder := filepath.Join(t.TempDir(), "a folder (1), of mine")
	require.NoError(t, os.CopyFS(folder, os.DirFS(made)))
	put := func(name, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600))
	}
	put("torn.arctally", "SQLite format 3\x00 and no more")
	put("empty.arctally", "")
	put("broken.yaml", "job: [")
	put("lost.yaml", "job: lost\nprocedure: procedures/none.yaml\n")
	put("letterhead.yaml", "logo: none.png")
	require.NoError(t, os.Symlink("/etc/passwd", filepath.Join(folder, "link.yaml")))
	require.NoError(t, os.Symlink("/etc/passwd", filepath.Join(folder, "link.arctally")))
	require.NoError(t, os.Mkdir(filepath.Join(folder, "folder.arctally"), 0o700))
	require.NoError(t, os.Mkdir(filepath.Join(folder, "folder.yaml"), 0o700))
	s := serveFolder(t, folder, Options{Box: &virtualbox.Options{Speed: boxSpeed, Layers: 1, Faults: "arc-out"}})
	failed := 0
	look := func(method, path string, body any) {
		status, answer := s.send(method, path, body)
		if status >= http.StatusBadRequest {
			failed++
		}
		for _, secret := range []string{folder, filepath.Dir(folder), os.TempDir() + "/", "/etc/passwd", "/root/", "/home/", ".go:"} {
			assert.NotContains(t, string(answer), secret, "%s %s: %d", method, path, status)
		}
	}
	names := []string{"torn", "empty", "link", "folder", "none", "broken", "lost", "..%2F..%2Fetc%2Fgroup", "%00", "a%0Ab", strings.Repeat("x", 300)}
	for _, name := range names {
		for _, kind := range []string{"job", "procedure", "invoice"} {
			look(http.MethodGet, "/files/"+kind+"/"+name, nil)
			look(http.MethodPut, "/files/"+kind+"/"+name, map[string]any{"values": map[string]string{"job": "x"}})
		}
		for _, of := range []string{"", "/events", "/events/1", "/trace", "/trace?from=1&until=0", "/comparison?pass=1", "/entries", "/integrity", "/file/pdf", "/file/html", "/file/nothing", "/photographs/" + strings.Repeat("a", 64)} {
			look(http.MethodGet, "/records/"+name+of, nil)
		}
		look(http.MethodPost, "/records/"+name+"/entries", page.EntryRequest{By: "x", Finding: 1})
		look(http.MethodPost, "/records/"+name+"/notes", page.NoteRequest{By: "x", Kind: page.NoteText, Value: "x"})
		look(http.MethodPost, "/records/"+name+"/photographs", []byte("\x89PNG\r\n\x1a\n"))
		for _, of := range []string{"", "/offers", "/before?job=job", "/before?job=lost", "/before?job=" + name} {
			look(http.MethodGet, "/checks/"+name+of, nil)
		}
		look(http.MethodPost, "/checks/"+name, page.CheckRequest{Job: "job", Kind: "zero", Values: map[string]string{"channel": "current", "by": "x"}})
		look(http.MethodPost, "/checks/"+name+"/offers", page.TakeOverRequest{Job: "job", From: "torn", Number: 1, By: "x"})
		look(http.MethodPost, "/recording", page.StartRequest{Job: name})
		look(http.MethodPost, "/recording", page.StartRequest{Job: "job", Record: name})
		look(http.MethodPost, "/recording", page.StartRequest{Job: "job", Record: name, More: true})
		look(http.MethodDelete, "/recording", nil)
		look(http.MethodPost, "/plan", map[string]string{"file": name})
	}
	look(http.MethodGet, "/house", nil)
	look(http.MethodGet, "/nowhere", nil)
	look(http.MethodPatch, "/house", nil)
	look(http.MethodDelete, "/devices/x", nil)
	assert.Greater(t, failed, 200, "most of it goes wrong")
	look(http.MethodGet, "/house", nil)
}
