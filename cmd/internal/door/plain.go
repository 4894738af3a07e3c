package door

import (
	"fmt"
	"html"
	"net"
	"net/http"
	"strconv"
)

// The one port is for both: who comes without TLS is answered in words, and can fetch the
// authority of the machine here and nothing else.
//
// Why here, and not over TLS: a tablet that does not know the authority yet would have to be
// told to go on in spite of a warning, which nobody should learn to do. The certificate is
// no secret. Whoever on the way puts another one in its place is found out by the
// fingerprint: the tablet shows it before it trusts, and the machine shows its own where no
// network comes in between. A second port would be a second hole in a firewall, for as much.

// AuthorityPath is where a tablet fetches the authority.
const AuthorityPath = "/authority.crt"

const plainStyle = `body{font:20px/1.5 sans-serif;max-width:36em;margin:1em auto;padding:0 1em;color:#111;background:#fff}
a.go{display:block;padding:1em;margin:1em 0;background:#124;color:#fff;text-align:center;border-radius:8px;font-weight:bold}`

// Plain answers who speaks no TLS. Without a certificate of an authority there is none to be fetched.
func Plain(authority []byte) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		header := w.Header()
		header.Set("X-Content-Type-Options", "nosniff")
		header.Set("Referrer-Policy", "no-referrer")
		header.Set("Cache-Control", "no-store")
		header.Set("Content-Security-Policy", "default-src 'none'; style-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
		switch get := r.Method == http.MethodGet; {
		case get && r.URL.Path == AuthorityPath && authority != nil:
			header.Set("Content-Type", "application/x-x509-ca-cert")
			header.Set("Content-Disposition", `attachment; filename="arctally-authority.crt"`)
			header.Set("Content-Length", strconv.Itoa(len(authority)))
			_, _ = w.Write(authority)
		case get && r.URL.Path == "/plain.css":
			header.Set("Content-Type", "text/css; charset=utf-8")
			_, _ = w.Write([]byte(plainStyle))
		default:
			header.Set("Content-Type", "text/html; charset=utf-8")
			header.Set("Upgrade", "TLS/1.2, HTTP/1.1")
			w.WriteHeader(http.StatusUpgradeRequired)
			_, _ = w.Write([]byte(plainPage(r, authority != nil)))
		}
	})
}

// plainPage says what to do. It does not show the fingerprint: whoever could change the
// certificate on the way could change that too.
func plainPage(r *http.Request, fetch bool) string {
	at := ""
	if local, ok := r.Context().Value(http.LocalAddrContextKey).(*net.TCPAddr); ok {
		at = local.String()
	}
	secure := fmt.Sprintf(`<a class="go" href="https://%[1]s/">https://%[1]s</a>`, html.EscapeString(at))
	page := "<!doctype html>\n<html lang=\"en\"><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"><title>arctally: only encrypted</title>" +
		"<link rel=\"stylesheet\" href=\"/plain.css\">\n<h1>Only encrypted</h1>\n<p>This machine answers the network over TLS alone. Nothing was done.</p>\n"
	if fetch {
		page += "<h2>The first time with this device</h2>\n<ol>\n<li>Fetch the authority of the machine, and let this device trust it for web sites:<a class=\"go\" href=\"" + AuthorityPath + "\">Fetch the authority</a></li>\n" +
			"<li>Before you trust it, have the device show its SHA-256 fingerprint and hold it against the one in the terminal of the machine. Where they differ, somebody is in between: do not trust it.</li>\n" +
			"<li>Then go on here:" + secure + "</li>\n</ol>\n"
	} else {
		page += "<p>Go on here:" + secure + "</p>\n"
	}
	return page + "</html>\n"
}
