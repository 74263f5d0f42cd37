package web_test

import (
	"bufio"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"
	"time"
)

// FuzzHTTP sends whatever bytes to the page. It must answer or close, never
// send a file from outside or let another origin in, and go on answering.
func FuzzHTTP(f *testing.F) {
	p := serve(f, nil)
	f.Add([]byte("GET / HTTP/1.1\nHost: 127.0.0.1:PORT\n\n"))
	f.Add([]byte("GET /api/files/works.yaml HTTP/1.1\nHost: 127.0.0.1:PORT\nX-Potbank-Token: TOKEN\n\n"))
	f.Add([]byte("POST /api/check HTTP/1.1\nHost: 127.0.0.1:PORT\nX-Potbank-Token: TOKEN\nContent-Type: application/json\nContent-Length: 30\n\n{\"name\":\"a.yaml\",\"text\":\"a: b\"}"))
	f.Add([]byte("PUT /api/files/new.yaml HTTP/1.1\nHost: 127.0.0.1:PORT\nX-Potbank-Token: TOKEN\nContent-Type: application/json\nContent-Length: 22\n\n{\"text\":\"\",\"mark\":\"\"}  "))
	f.Add([]byte("POST /api/runs HTTP/1.1\nHost: 127.0.0.1:PORT\nTransfer-Encoding: chunked\n\n5\nhello\n0\n\n"))
	f.Fuzz(func(t *testing.T, request []byte) {
		c, err := net.Dial("tcp", p.host)
		if err != nil {
			t.Fatalf("the page no longer answers: %v", err)
		}
		defer c.Close()
		c.SetDeadline(time.Now().Add(300 * time.Millisecond))
		text := strings.NewReplacer("\n", "\r\n", "PORT", p.port, "TOKEN", p.token).Replace(string(request))
		if _, err := io.WriteString(c, text); err != nil {
			return
		}
		answer, err := http.ReadResponse(bufio.NewReader(c), nil)
		if err != nil {
			return // closed, or waiting for the rest
		}
		defer answer.Body.Close()
		body, _ := io.ReadAll(answer.Body)
		if strings.Contains(string(body), "root:x:") {
			t.Errorf("a file from outside was sent for %q", request)
		}
		for name := range answer.Header {
			if strings.HasPrefix(name, "Access-Control-") {
				t.Errorf("%s is sent for %q", name, request)
			}
		}
		if answer.StatusCode >= 500 {
			t.Errorf("answered %d to %q", answer.StatusCode, request)
		}
	})
}
