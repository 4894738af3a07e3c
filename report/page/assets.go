package page

import (
	"bytes"
	"embed"
	"fmt"
	"io/fs"
	"net/http"
	"path"
	"strings"
	"time"
)

// What the pages are made of, bundled of the sources in web.
//
//go:embed all:dist
var embedded embed.FS

// bundle is what is served.
func bundle() fs.FS {
	dist, err := fs.Sub(embedded, "dist")
	if err != nil {
		panic("page: " + err.Error())
	}
	return dist
}

// mediaTypes are those of the bundle; what a system says of them differs.
var mediaTypes = map[string]string{
	".html": "text/html; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8",
	".svg": "image/svg+xml", ".png": "image/png", ".ico": "image/x-icon", ".woff2": "font/woff2",
	".json": "application/json", ".webmanifest": "application/manifest+json", ".txt": "text/plain; charset=utf-8",
}

const indexFile = "index.html"

// assets are the files of the bundle by name.
type assets map[string]asset

type asset struct {
	media, etag string
	content     []byte
}

// unbuilt stands for the pages where the program was built without them.
const unbuilt = `<!doctype html>
<html lang="en"><meta charset="utf-8"><title>arctally</title>
<h1>The pages are not in this program</h1>
<p>It was built without them. Build it with <code>make build</code>, and start it again.</p>
<p>What it answers to other programs stands in <a href="/api/openapi.yaml">/api/openapi.yaml</a>.</p>
`

func newAssets(dist fs.FS) assets {
	all := assets{indexFile: {mediaTypes[".html"], ETag([]byte(unbuilt)), []byte(unbuilt)}}
	err := fs.WalkDir(dist, ".", func(name string, entry fs.DirEntry, err error) error {
		media, known := mediaTypes[path.Ext(name)]
		if err != nil || entry.IsDir() || !known {
			return err
		}
		content, err := fs.ReadFile(dist, name)
		all[name] = asset{media, ETag(content), content}
		return err
	})
	if err != nil {
		panic("page: the bundle cannot be read: " + err.Error())
	}
	return all
}

// serve sends a file of the bundle. A browser asks each time whether it changed,
// so that nobody works with the pages of another version of the program.
func (a assets) serve(w http.ResponseWriter, r *http.Request) error {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		w.Header().Set("Allow", "GET, HEAD")
		return &Problem{Status: http.StatusMethodNotAllowed, Message: fmt.Sprintf("%s does not take %s", r.URL.Path, r.Method), Hint: "load the page again"}
	}
	name := strings.TrimPrefix(r.URL.Path, "/")
	if name == "" {
		name = indexFile
	}
	found, ok := a[name]
	if !ok {
		return &Problem{Status: http.StatusNotFound, Message: "there is no page " + r.URL.Path, Hint: "begin at /"}
	}
	header := w.Header()
	header.Set("Content-Type", found.media)
	header.Set("ETag", found.etag)
	header.Set("Cache-Control", "no-cache")
	extend(w, sendTime)
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(found.content))
	return nil
}
