package web_test

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"potbank/internal/experiment"
	"potbank/internal/web"
)

// page is a server under test.
type page struct{ host, port, token, folder string }

// serve starts a page over a folder with one works. Its commands report one
// replication, wait for the channel to close if there is one, and answer.
func serve(t testing.TB, block chan struct{}) *page {
	t.Helper()
	folder := t.TempDir()
	text, err := os.ReadFile("../../scenarios/small-works.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"works.yaml": string(text), "holidays.ics": calendar(t), "notes.txt": "not for the page"} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	strange(t, folder)
	command := func(ctx context.Context, args []string, progress func(experiment.Progress)) web.Outcome {
		progress(experiment.Progress{Replications: 1, Most: 4})
		if block != nil {
			select {
			case <-block:
			case <-ctx.Done():
				return web.Outcome{Code: 130}
			}
		}
		return web.Outcome{Answer: &web.Answer{
			Title: "It runs", JSON: []byte(`{"line":"` + strings.Join(args, " ") + `"}`), Report: []byte("<!doctype html><title>It runs</title>"),
			Tables: []byte("PK"), Workbook: []byte("PK"),
		}}
	}
	s, err := web.Listen(web.Config{Folder: folder, Command: command, Log: slog.New(slog.DiscardHandler), Version: "test", Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(ctx) }()
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Errorf("the page ended: %v", err)
		}
	})
	address, err := url.Parse(s.URL())
	if err != nil {
		t.Fatal(err)
	}
	return &page{address.Host, address.Port(), address.Fragment, folder}
}

// calendar is the example's calendar of holidays.
func calendar(t testing.TB) string {
	t.Helper()
	text, err := os.ReadFile("../../scenarios/holidays.ics")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// ask sends a request as the page does.
func (p *page) ask(t *testing.T, method, path, body string) (int, string) {
	t.Helper()
	r, err := http.NewRequest(method, "http://"+p.host+path, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("X-Potbank-Token", p.token)
	r.Header.Set("Content-Type", "application/json")
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	return answer.StatusCode, string(text)
}

func (p *page) get(t *testing.T, path string) (int, string) { return p.ask(t, "GET", path, "") }
func (p *page) post(t *testing.T, path, body string) (int, string) {
	return p.ask(t, "POST", path, body)
}

// TestFiles lists, reads and changes a works; a change based on an old content
// is refused, so that nobody's work is lost, and nothing but scenarios is shown.
func TestFiles(t *testing.T) {
	p := serve(t, nil)
	code, list := p.get(t, "/api/files")
	if code != 200 || !strings.Contains(list, `"works.yaml"`) || strings.Contains(list, "notes") || strings.Contains(list, "link") || strings.Contains(list, "pipe") {
		t.Errorf("%d %s", code, list)
	}
	_, text := p.get(t, "/api/files/works.yaml")
	var file struct{ Text, Mark, Title string }
	if err := json.Unmarshal([]byte(text), &file); err != nil || file.Title != "Small works" {
		t.Fatalf("%v %s", err, text)
	}
	change := func(mark string) int {
		body, _ := json.Marshal(map[string]string{"text": file.Text + "# changed\n", "mark": mark})
		code, _ := p.ask(t, "PUT", "/api/files/works.yaml", string(body))
		return code
	}
	if code := change("0000"); code != 409 {
		t.Errorf("a change of something else is answered %d", code)
	}
	if code := change(file.Mark); code != 200 {
		t.Errorf("a change is answered %d", code)
	}
	if code := change(file.Mark); code != 409 {
		t.Errorf("the same change again is answered %d", code)
	}
	stored, err := os.ReadFile(filepath.Join(p.folder, "works.yaml"))
	if err != nil || !strings.HasSuffix(string(stored), "# changed\n") {
		t.Errorf("%v, stored %d bytes", err, len(stored))
	}
	if entries, _ := os.ReadDir(p.folder); len(entries) != 5 {
		t.Errorf("something is left behind: %v", entries)
	}
}

// TestChangedAtOnce has eight change one content at the same time: one of them
// does, and what is stored is that one's.
func TestChangedAtOnce(t *testing.T) {
	p := serve(t, nil)
	_, text := p.get(t, "/api/files/works.yaml")
	var file struct{ Text, Mark string }
	if err := json.Unmarshal([]byte(text), &file); err != nil {
		t.Fatal(err)
	}
	codes := make([]int, 8)
	var all sync.WaitGroup
	for k := range codes {
		all.Go(func() {
			body, _ := json.Marshal(map[string]string{"text": fmt.Sprintf("%s# changed by %d\n", file.Text, k), "mark": file.Mark})
			codes[k], _ = p.ask(t, "PUT", "/api/files/works.yaml", string(body))
		})
	}
	all.Wait()
	won := slices.Index(codes, 200)
	stored, err := os.ReadFile(filepath.Join(p.folder, "works.yaml"))
	if err != nil || won < 0 || slices.Contains(codes[won+1:], 200) || !strings.HasSuffix(string(stored), fmt.Sprintf("# changed by %d\n", won)) {
		t.Errorf("answered %v; %v, stored %d bytes", codes, err, len(stored))
	}
}

// TestCheckAsOneTypes judges a text that is not stored: the fault has its line
// and column, and a text without one its estimate by hand, within 100 ms each.
func TestCheckAsOneTypes(t *testing.T) {
	p := serve(t, nil)
	good, err := os.ReadFile("../../scenarios/small-works.yaml")
	if err != nil {
		t.Fatal(err)
	}
	check := func(text string) string {
		body, _ := json.Marshal(map[string]string{"name": "works.yaml", "text": text})
		code, said := p.post(t, "/api/check", string(body))
		if code != 200 {
			t.Fatalf("%d %s", code, said)
		}
		return said
	}
	if said := check(strings.Replace(string(good), "kind: shuttle", "kind: shutle", 1)); !strings.Contains(said, `"line":`) || !strings.Contains(said, "did you mean shuttle?") || !strings.Contains(said, `"runs":false`) {
		t.Errorf("said %s", said)
	}
	if said := check(string(good)); !strings.Contains(said, `"runs":true`) || !strings.Contains(said, "packed.total") {
		t.Errorf("said %s", said)
	}
}

// TestRun follows a run from the asking to the report.
func TestRun(t *testing.T) {
	block := make(chan struct{})
	p := serve(t, block)
	code, run := p.post(t, "/api/runs", `{"command":"run","files":["works.yaml"],"flags":["--weeks=8","--by=cost.per_good"],"key":"k"}`)
	if code != 202 || !strings.Contains(run, `"line":"potbank run works.yaml --weeks=8 --by=cost.per_good"`) {
		t.Fatalf("%d %s", code, run)
	}
	r, err := http.NewRequest("GET", "http://"+p.host+"/api/runs/1/events", nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("X-Potbank-Token", p.token)
	events, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer events.Body.Close()
	var last string
	for lines := bufio.NewScanner(events.Body); lines.Scan(); {
		data, ok := strings.CutPrefix(lines.Text(), "data: ")
		if !ok {
			continue
		}
		if last = data; strings.Contains(data, `"done":1,"most":4`) && block != nil {
			close(block)
			block = nil
		}
	}
	if !strings.Contains(last, `"state":"done"`) || !strings.Contains(last, `"title":"It runs"`) {
		t.Errorf("it ended as %s", last)
	}
	if code, answer := p.get(t, "/api/runs/1/answer/answer.json"); code != 200 || !strings.Contains(answer, "run works.yaml --weeks=8") {
		t.Errorf("%d %s", code, answer)
	}
	_, ticket := p.post(t, "/api/runs/1/ticket", "{}")
	var one struct{ Ticket string }
	if err := json.Unmarshal([]byte(ticket), &one); err != nil {
		t.Fatal(err)
	}
	for i, want := range []int{200, 404} { // good for one look
		answer, err := http.Get("http://" + p.host + "/report/" + one.Ticket)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if answer.StatusCode != want {
			t.Errorf("look %d at the report is answered %d", i+1, answer.StatusCode)
		}
	}
}

// TestStop ends a run that goes on, and one that waits.
func TestStop(t *testing.T) {
	block := make(chan struct{})
	p := serve(t, block)
	defer close(block)
	for range 2 {
		p.post(t, "/api/runs", `{"command":"run","files":["works.yaml"],"flags":[]}`)
	}
	for _, id := range []string{"2", "1"} {
		if code, _ := p.post(t, "/api/runs/"+id+"/stop", "{}"); code != 200 {
			t.Errorf("stopping %s is answered %d", id, code)
		}
	}
	for deadline := time.Now().Add(5 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		_, list := p.get(t, "/api/runs")
		if strings.Count(list, `"state":"cancelled"`) == 2 {
			return
		}
		if time.Now().After(deadline) {
			t.Fatalf("runs are %s", list)
		}
	}
}

// TestFloor shows a week of the works.
func TestFloor(t *testing.T) {
	p := serve(t, nil)
	code, week := p.post(t, "/api/floor", `{"file":"works.yaml","replication":1,"week":3,"piece":5}`)
	var f struct {
		Times []string
		Stock [][][]int
		Story []any
	}
	if err := json.Unmarshal([]byte(week), &f); err != nil || code != 200 || len(f.Times) != 7*24*6 || len(f.Stock) != len(f.Times) || len(f.Story) == 0 {
		t.Errorf("%v %d: %d times, %d steps, %d events of the piece", err, code, len(f.Times), len(f.Stock), len(f.Story))
	}
	if code, _ := p.post(t, "/api/floor", `{"file":"works.yaml","replication":1,"week":900}`); code != 400 {
		t.Errorf("week 900 is answered %d", code)
	}
}
