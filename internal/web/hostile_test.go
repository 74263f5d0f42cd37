package web_test

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// raw sends bytes as they are and returns the first answer, or 0 if the
// connection was closed without one.
func (p *page) raw(t *testing.T, request string) *http.Response {
	t.Helper()
	c, err := net.Dial("tcp", p.host)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	c.SetDeadline(time.Now().Add(10 * time.Second))
	if _, err := io.WriteString(c, strings.NewReplacer("\n", "\r\n", "PORT", p.port, "TOKEN", p.token).Replace(request)); err != nil {
		return &http.Response{}
	}
	answer, err := http.ReadResponse(bufio.NewReader(c), nil)
	if err != nil {
		return &http.Response{Body: http.NoBody}
	}
	return answer
}

// TestHostileRequests sends, over raw sockets, what a page of somebody else, a
// program of another user or a curious scanner might. PORT and TOKEN stand for
// the server's own.
func TestHostileRequests(t *testing.T) {
	p := serve(t, nil)
	head := "Host: 127.0.0.1:PORT\nX-Potbank-Token: TOKEN\n"
	for _, c := range []struct {
		name, request string
		want          int
	}{
		{"another host", "GET / HTTP/1.1\nHost: evil.example\n\n", 421},
		{"a rebound name", "GET /api/runs HTTP/1.1\nHost: evil.example:PORT\nOrigin: http://evil.example:PORT\nSec-Fetch-Site: same-origin\nX-Potbank-Token: TOKEN\n\n", 421},
		{"no host", "GET / HTTP/1.1\n\n", 400},
		{"no host in HTTP/1.0", "GET / HTTP/1.0\n\n", 421},
		{"two hosts", "GET / HTTP/1.1\nHost: 127.0.0.1:PORT\nHost: evil.example\n\n", 400},
		{"host with a name before it", "GET / HTTP/1.1\nHost: 127.0.0.1:PORT@evil\n\n", 400},
		{"localhost as a part", "GET / HTTP/1.1\nHost: localhost.evil.example:PORT\n\n", 421},
		{"a wildcard name", "GET / HTTP/1.1\nHost: 127.0.0.1.nip.io:PORT\n\n", 421},
		{"localhost with a dot", "GET / HTTP/1.1\nHost: localhost.:PORT\n\n", 421},
		{"the wrong port", "GET / HTTP/1.1\nHost: 127.0.0.1:1\n\n", 421},
		{"the address as a number", "GET / HTTP/1.1\nHost: 2130706433:PORT\n\n", 421},
		{"the address in IPv6", "GET / HTTP/1.1\nHost: [::ffff:127.0.0.1]:PORT\n\n", 421},
		{"the absolute form", "GET http://evil.example/ HTTP/1.1\nHost: 127.0.0.1:PORT\n\n", 421},
		{"a post from another site", "POST /api/runs HTTP/1.1\n" + head + "Sec-Fetch-Site: cross-site\nContent-Type: application/json\nContent-Length: 2\n\n{}", 403},
		{"a form as JSON", "POST /api/runs HTTP/1.1\n" + head + "Origin: null\nContent-Type: text/plain\nContent-Length: 2\n\n{}", 403},
		{"text that is JSON", "POST /api/runs HTTP/1.1\n" + head + "Content-Type: text/plain\nContent-Length: 2\n\n{}", 415},
		{"no token", "GET /api/runs HTTP/1.1\nHost: 127.0.0.1:PORT\n\n", 401},
		{"half a token", "GET /api/runs HTTP/1.1\nHost: 127.0.0.1:PORT\nX-Potbank-Token: 0123\n\n", 401},
		{"a preflight", "OPTIONS /api/runs HTTP/1.1\nHost: 127.0.0.1:PORT\nOrigin: http://evil.example\nAccess-Control-Request-Method: POST\n\n", 403},
		{"stopping by an image", "GET /api/runs/1/stop HTTP/1.1\n" + head + "\n", 405},
		{"trace", "TRACE / HTTP/1.1\nHost: 127.0.0.1:PORT\n\n", 405},
		{"a tunnel", "CONNECT 127.0.0.1:PORT HTTP/1.1\nHost: 127.0.0.1:PORT\n\n", 405},
		{"events from another origin", "GET /api/runs/1/events HTTP/1.1\n" + head + "Origin: http://evil.example\n\n", 403},
		{"a path with dots", "GET /api/files/../../etc/passwd HTTP/1.1\n" + head + "\n", 307},
		{"a path with coded dots", "GET /api/files/%2e%2e%2f%2e%2e%2fetc%2fpasswd HTTP/1.1\n" + head + "\n", 404},
		{"a path with a backslash", "GET /api/files/..%5cpasswd HTTP/1.1\n" + head + "\n", 404},
		{"a path with a zero", "GET /api/files/works.yaml%00 HTTP/1.1\n" + head + "\n", 404},
		{"a long name", "GET /api/files/" + strings.Repeat("a", 5000) + ".yaml HTTP/1.1\n" + head + "\n", 404},
		{"a link out of the folder", "GET /api/files/link.yaml HTTP/1.1\n" + head + "\n", 404},
		{"a pipe", "GET /api/files/pipe.yaml HTTP/1.1\n" + head + "\n", 404},
		{"a body too large", "POST /api/check HTTP/1.1\n" + head + "Content-Type: application/json\nContent-Length: 4000000\n\n{\"name\":\"" + strings.Repeat("x", 3_999_000), 413},
		{"a packed body", "POST /api/check HTTP/1.1\n" + head + "Content-Type: application/json\nContent-Encoding: gzip\nContent-Length: 2\n\n{}", 415},
		{"headers without end", "GET / HTTP/1.1\n" + head + "X-Long: " + strings.Repeat("a", 64<<10) + "\n\n", 431},
		{"two lengths", "POST /api/runs HTTP/1.1\n" + head + "Content-Type: application/json\nContent-Length: 2\nContent-Length: 3\n\n{}", 400},
		{"deep JSON", "POST /api/runs HTTP/1.1\n" + head + "Content-Type: application/json\nContent-Length: 100000\n\n" + strings.Repeat("[", 100_000), 400},
		{"a command that is none", "POST /api/runs HTTP/1.1\n" + head + "Content-Type: application/json\nContent-Length: 42\n\n{\"command\":\"serve\",\"files\":[\"works.yaml\"]}", 400},
	} {
		t.Run(c.name, func(t *testing.T) {
			answer := p.raw(t, c.request)
			if answer.StatusCode != c.want {
				t.Errorf("answered %d, want %d", answer.StatusCode, c.want)
			}
			for name := range answer.Header {
				if strings.HasPrefix(name, "Access-Control-") {
					t.Errorf("sends %s", name)
				}
			}
			text, _ := io.ReadAll(answer.Body)
			if strings.Contains(string(text), "root:") {
				t.Error("a file from outside was sent")
			}
		})
	}
}

// TestSlowHeaders holds that whoever sends a header byte by byte is cut off, and
// that the page answers others meanwhile.
func TestSlowHeaders(t *testing.T) {
	p := serve(t, nil)
	for range 100 {
		c, err := net.Dial("tcp", p.host)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		io.WriteString(c, "GET / HTTP/1.1\r\nHost: ")
	}
	if code, _ := p.get(t, "/api/files"); code != 200 {
		t.Errorf("others are answered %d", code)
	}
	c, err := net.Dial("tcp", p.host)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	io.WriteString(c, "GET / HTTP/1.1\r\nHost: ")
	c.SetReadDeadline(time.Now().Add(20 * time.Second))
	if _, err := io.ReadAll(c); err != nil {
		t.Errorf("the connection is not closed: %v", err)
	}
}

// TestQueueIsBounded holds that one run is carried out, sixteen wait, and more
// are told to come later; a repeated key begins no second run.
func TestQueueIsBounded(t *testing.T) {
	block := make(chan struct{})
	p := serve(t, block)
	defer close(block)
	post := func(key string) (int, string) {
		return p.post(t, "/api/runs", fmt.Sprintf(`{"command":"run","files":["works.yaml"],"flags":["--weeks=2"],"key":%q}`, key))
	}
	full := 0
	for i := range 40 {
		switch code, _ := post(fmt.Sprint(i)); code {
		case 202:
		case 429:
			full++
		default:
			t.Fatalf("answered %d", code)
		}
	}
	if full < 22 || full > 24 { // one may have been taken up, or not yet
		t.Errorf("%d of 40 were told to come later, want 23", full)
	}
	_, first := post("0")
	_, again := post("0")
	if first != again || !strings.Contains(first, `"id":1,`) {
		t.Errorf("the same key gives %s and %s", first, again)
	}
}

// TestNamesAreText holds that a name with markup is stored and sent as text, and
// never as a page.
func TestNamesAreText(t *testing.T) {
	p := serve(t, nil)
	code, body := p.post(t, "/api/check", `{"name":"works.yaml","text":"potbank: 1\nname: \"<script>alert(1)</script>\"\n"}`)
	if code != 200 || strings.Contains(body, "<script>") {
		t.Errorf("%d %s", code, body)
	}
	answer := p.raw(t, "GET / HTTP/1.1\nHost: 127.0.0.1:PORT\n\n")
	policy := answer.Header.Get("Content-Security-Policy")
	for _, want := range []string{"default-src 'none'", "script-src 'self'", "frame-ancestors 'none'"} {
		if !strings.Contains(policy, want) {
			t.Errorf("the policy lacks %s: %s", want, policy)
		}
	}
	if strings.Contains(policy, "unsafe") {
		t.Errorf("the policy allows the unsafe: %s", policy)
	}
}

// strange puts into a folder what must never be read.
func strange(t testing.TB, folder string) {
	t.Helper()
	if err := os.Symlink("/etc/passwd", filepath.Join(folder, "link.yaml")); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mkfifo(filepath.Join(folder, "pipe.yaml"), 0o644); err != nil {
		t.Fatal(err)
	}
}
