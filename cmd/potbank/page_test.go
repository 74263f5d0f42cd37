package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"io"
	"math"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"potbank/internal/browser"
	"potbank/internal/experiment"
	"potbank/internal/scenario"
)

// served is the page over a folder of its own, as potbank serve opens it.
type served struct {
	folder, address, token string
	browser                *browser.Browser
}

// serveFolder opens the page over the small works and a question about it.
func serveFolder(t *testing.T) *served {
	t.Helper()
	folder := t.TempDir()
	for _, name := range []string{"small-works.yaml", "holidays.ics"} {
		text, err := os.ReadFile("../../scenarios/" + name)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(folder, name), text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	c := newConsole()
	ended := make(chan int, 1)
	go func() {
		ended <- run([]string{"serve", folder, "--ledger", filepath.Join(t.TempDir(), "works.ledger")}, strings.NewReader(""), &c.out, &c.err, c.environment())
	}()
	t.Cleanup(func() {
		c.interrupts <- os.Interrupt
		if code := <-ended; code != 0 {
			t.Errorf("serve ends with %d: %s", code, c.err.String())
		}
	})
	for deadline := time.Now().Add(20 * time.Second); !strings.Contains(c.out.String(), "Ctrl-C"); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("no address: %s %s", c.out.String(), c.err.String())
		}
	}
	line, _, _ := strings.Cut(c.out.String(), "\n")
	address, token, _ := strings.Cut(line, "#")
	return &served{folder, address, token, browser.Start(t)}
}

// open opens a view and waits until it stands.
func (s *served) open(t *testing.T, view string, width int) *browser.Page {
	t.Helper()
	p := s.browser.Open(t, s.address+"#"+s.token+"/"+view, width)
	name, _, _ := strings.Cut(view, "/")
	stands(p, name)
	return p
}

// stands waits until a view stands.
func stands(p *browser.Page, view string) {
	p.Wait(fmt.Sprintf(`document.getElementById("view")?.dataset.view === %q`, view))
}

// fill puts a value into a field as typing would.
func fill(p *browser.Page, selector, value string) {
	browser.Value[bool](p, fmt.Sprintf(`(() => { const e = document.querySelector(%q); e.value = %q; e.dispatchEvent(new Event("input", {bubbles: true})); return true; })()`, selector, value))
}

// text is what an element shows.
func text(p *browser.Page, selector string) string {
	return browser.Value[string](p, fmt.Sprintf(`document.querySelector(%q)?.innerText ?? ""`, selector))
}

// quick logs how long every request of a page took that needs no simulation.
func quick(t *testing.T, p *browser.Page, what string) {
	t.Helper()
	t.Log(what + ": " + browser.Value[string](p, `performance.getEntriesByType("resource").filter(e => e.name.includes("/api/") && !/floor|events|answer/.test(e.name)).map(e => new URL(e.name).pathname + " " + Math.round(e.duration) + " ms").join(", ")`))
}

// TestPageViews opens every view on a desk and on a telephone: each stands, can be
// used by all, and is kept as a picture.
func TestPageViews(t *testing.T) {
	s := serveFolder(t)
	for _, view := range []string{"start", "new/bench-shuttle", "works", "works/small-works.yaml", "ask/run/small-works.yaml", "ask/compare/small-works.yaml",
		"ask/size/small-works.yaml", "ask/promise/small-works.yaml", "ask/master/small-works.yaml", "ask/tornado/small-works.yaml", "runs", "floor/small-works.yaml"} {
		for _, width := range []int{browser.Desk, browser.Telephone} {
			p := s.open(t, view, width)
			p.Usable()
			name := strings.ReplaceAll(strings.TrimSuffix(view, "/small-works.yaml"), "/", "-")
			if view == "works/small-works.yaml" {
				p.Wait(`document.querySelector(".sum table") !== null`)
				name = "editor"
			}
			p.Keep(fmt.Sprintf("%s-%d", name, width))
			if width == browser.Desk {
				quick(t, p, view)
			}
		}
	}
}

// TestPageEditor puts a fault into a works, reads where it is, mends it and
// stores a change.
func TestPageEditor(t *testing.T) {
	s := serveFolder(t)
	p := s.open(t, "works/small-works.yaml", browser.Desk)
	p.Wait(`document.querySelector(".sum table") !== null`)
	swap := func(from, to string) {
		browser.Value[bool](p, fmt.Sprintf(`(() => { const e = document.querySelector("textarea"); e.value = e.value.replace(%q, %q); e.dispatchEvent(new Event("input", {bubbles: true})); return true; })()`, from, to))
	}
	swap("kind: shuttle", "kind: shutle")
	p.Wait(`document.querySelector(".faults .error") !== null`)
	line := browser.Value[int](p, `document.querySelector("textarea").value.split("\n").findIndex(l => l.includes("shutle")) + 1`)
	if got := text(p, ".faults .error"); !strings.Contains(got, fmt.Sprintf("line %d, column", line)) || !strings.Contains(got, "did you mean shuttle?") {
		t.Errorf("the fault in line %d reads %q", line, got)
	}
	p.Do(chromedp.Click(".faults .error .place"))
	if got := browser.Value[string](p, `(e => e.value.slice(e.selectionStart, e.selectionStart + 6))(document.querySelector("textarea"))`); got != "shutle" {
		t.Errorf("the cursor stands before %q", got)
	}
	p.Usable()
	p.Keep("fault")
	swap("kind: shutle", "kind: shuttle")
	p.Wait(`document.querySelector(".faults .error") === null && document.querySelector(".sum table") !== null`)
	swap("name: Small works", "name: Smaller works")
	p.Wait(`!document.querySelector(".paper button").disabled`)
	p.Do(chromedp.Click(".paper .actions button"))
	p.Wait(`document.getElementById("notice").textContent.includes("is saved")`)
	stored, err := os.ReadFile(filepath.Join(s.folder, "small-works.yaml"))
	if err != nil || !bytes.Contains(stored, []byte("name: Smaller works")) {
		t.Errorf("the change is not stored: %v", err)
	}
	quick(t, p, "editor")
}

// fetch gets a file of the page as its script would.
func (s *served) fetch(t *testing.T, path string) []byte {
	t.Helper()
	r, err := http.NewRequest("GET", s.address+path, nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("X-Potbank-Token", s.token)
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	content, err := io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode != 200 {
		t.Fatalf("%s: %d %v", path, answer.StatusCode, err)
	}
	return content
}

// answered submits the form, and waits until the answer is there.
func answered(p *browser.Page, state string) {
	p.Do(chromedp.Click("form.ask button[type=submit]"))
	stands(p, "runs")
	p.Wait(fmt.Sprintf(`document.querySelector(".run .state.%s") !== null && document.querySelector("iframe.report") !== null`, state))
}

// framed scrolls to the report within the page, waits until the blue of its
// headings is seen, and keeps the picture.
func framed(t *testing.T, p *browser.Page) {
	t.Helper()
	p.Do(chromedp.ScrollIntoView("iframe.report"))
	for deadline := time.Now().Add(30 * time.Second); ; time.Sleep(200 * time.Millisecond) {
		shown := browser.Get(p, chromedp.CaptureScreenshot())
		picture, err := png.Decode(bytes.NewReader(shown))
		if err != nil {
			t.Fatal(err)
		}
		if blue(picture) > 300 {
			if err := os.WriteFile(filepath.Join(t.ArtifactDir(), "report.png"), shown, 0o644); err != nil {
				t.Fatal(err)
			}
			return
		}
		if time.Now().After(deadline) {
			t.Fatal("the report is not to be seen within the page")
		}
	}
}

// blue counts the pixels in the blue of reports.
func blue(shown image.Image) int {
	n := 0
	for y := range shown.Bounds().Dy() {
		for x := range shown.Bounds().Dx() {
			if r, g, b, _ := shown.At(x, y).RGBA(); r>>8 == 0x12 && g>>8 == 0x48 && b>>8 == 0x6b {
				n++
			}
		}
	}
	return n
}

// TestPageRun asks how the works runs, watches, and holds what the page shows and
// offers against the same command line in the terminal, to the byte.
func TestPageRun(t *testing.T) {
	s := serveFolder(t)
	p := s.open(t, "ask/run/small-works.yaml", browser.Desk)
	fill(p, "[name=weeks]", "12")
	fill(p, "[name=replications]", "5")
	p.Wait(`document.querySelector(".line").textContent.includes("--replications=5")`)
	answered(p, "done")
	line := strings.Fields(strings.TrimPrefix(text(p, ".line"), "potbank "))
	line[1] = filepath.Join(s.folder, line[1])
	var out, said safeBuffer
	book, html := filepath.Join(t.TempDir(), "a.xlsx"), filepath.Join(t.TempDir(), "a.html")
	if code := run(append(line, "--json", "--html", html, "--xlsx", book), strings.NewReader(""), &out, &said, newConsole().environment()); code != 0 {
		t.Fatal(code, said.String())
	}
	var answer struct {
		Measures []struct {
			Name string
			Mean float64
		}
	}
	if err := json.Unmarshal([]byte(out.String()), &answer); err != nil {
		t.Fatal(err)
	}
	shown := browser.Value[map[string]float64](p, `Object.fromEntries([...document.querySelectorAll("[data-measure]")].map(e => [e.dataset.measure, Number(e.dataset.mean)]))`)
	for _, m := range answer.Measures {
		if got, ok := shown[m.Name]; ok && math.Abs(got-m.Mean) > 1e-9*math.Abs(m.Mean) {
			t.Errorf("%s is shown as %v, the terminal says %v", m.Name, got, m.Mean)
		}
	}
	if len(shown) < 5 {
		t.Errorf("only %v is shown", shown)
	}
	for face, path := range map[string]string{"report.html": html, "answer.xlsx": book} {
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if got := s.fetch(t, "api/runs/1/answer/"+face); !bytes.Equal(got, want) {
			t.Errorf("%s is not what the terminal writes: %d and %d bytes", face, len(got), len(want))
		}
	}
	if got := s.fetch(t, "api/runs/1/answer/answer.json"); string(got) != out.String() {
		t.Error("answer.json is not what the terminal prints")
	}
	p.Usable()
	p.Keep("answer")
	framed(t, p)
	s.again(t)
}

// again asks what the ledger holds once more.
func (s *served) again(t *testing.T) {
	p := s.open(t, "runs", browser.Desk)
	p.Usable()
	p.Keep("history")
	p.Do(chromedp.Click(".history button"))
	stands(p, "runs")
	p.Wait(`document.querySelector(".run .state.done") !== null && document.querySelector("details pre") !== null`)
	if got := browser.Value[string](p, `document.querySelector("details pre").textContent`); !strings.Contains(got, "5 replications were there, 0 were run") {
		t.Errorf("asked again it says %q", got)
	}
}

// TestPageStop stops a long run and holds that what it had by then is shown and
// labelled.
func TestPageStop(t *testing.T) {
	s := serveFolder(t)
	p := s.open(t, "ask/run/small-works.yaml", browser.Desk)
	fill(p, "[name=weeks]", "12")
	fill(p, "[name=precision]", "0.001 %")
	fill(p, "[name=replications]", "100000")
	p.Wait(`document.querySelector(".line").textContent.includes("100000")`)
	p.Do(chromedp.Click("form.ask button[type=submit]"))
	stands(p, "runs")
	count := `Number(/^\d+/.exec(document.querySelector(".count")?.textContent ?? "0")[0])`
	p.Wait(count + ` > 3`)
	first := browser.Value[int](p, count)
	p.Wait(fmt.Sprintf(`%s > %d`, count, first))
	p.Wait(`(document.querySelector(".shrinking polyline")?.getAttribute("points") ?? "").split(" ").length > 2`)
	p.Usable()
	p.Keep("progress")
	p.Do(chromedp.Click(".stop"))
	p.Wait(`document.querySelector(".run .state.partial") !== null && document.querySelector("iframe.report") !== null`)
	var answer struct{ Replications int }
	if err := json.Unmarshal(s.fetch(t, "api/runs/1/answer/answer.json"), &answer); err != nil {
		t.Fatal(err)
	}
	if got := text(p, "p.partial:not(.state)"); answer.Replications <= first || !strings.Contains(got, fmt.Sprintf("Stopped after %d of", answer.Replications)) {
		t.Errorf("%d replications are kept after %d were seen; it says %q", answer.Replications, first, got)
	}
	p.Keep("stopped")
}

// TestPageFloor scrubs through a week by keyboard and holds the stocks shown
// against the week itself.
func TestPageFloor(t *testing.T) {
	s := serveFolder(t)
	file, _ := scenario.Read(filepath.Join(s.folder, "small-works.yaml"))
	works, _ := file.Plant()
	week, err := experiment.LookAt(works, experiment.FloorQuestion{Seed: uint64(file.Works.Run.Seed), Replication: 1, Week: 8})
	if err != nil {
		t.Fatal(err)
	}
	p := s.open(t, "floor/small-works.yaml", browser.Desk)
	holds := func(step int) {
		t.Helper()
		shown := browser.Value[[]string](p, `[...document.querySelectorAll(".room b")].map(e => e.textContent)`)
		for i, byWare := range week.Stock[step] {
			n := 0
			for _, pieces := range byWare {
				n += pieces
			}
			if i >= len(shown) || shown[i] != fmt.Sprint(n) {
				t.Errorf("step %d: the page shows %v, %s holds %d", step, shown, week.Sections[i], n)
				return
			}
		}
		if want := week.Start.Add(time.Duration(step+1) * 10 * time.Minute).Format("Mon 2 Jan 15:04"); text(p, ".clock") != want {
			t.Errorf("the clock stands at %q, want %q", text(p, ".clock"), want)
		}
	}
	holds(0)
	fill(p, ".stage input[type=range]", "300")
	holds(300)
	p.Do(chromedp.Focus(".stage input[type=range]"), chromedp.KeyEvent("\u0303")) // ArrowRight
	holds(301)
	p.Do(chromedp.KeyEvent(" "))
	p.Wait(`Number(document.querySelector(".stage input[type=range]").value) > 303`)
	p.Do(chromedp.KeyEvent(" "))
	at := browser.Value[int](p, `Number(document.querySelector(".stage input[type=range]").value)`)
	holds(at)
	fill(p, ".stage input[type=range]", "0")
	p.Do(chromedp.KeyEvent("n"))
	next := week.Moments[0]
	for _, m := range week.Moments {
		if m.Step > 0 {
			next = m
			break
		}
	}
	holds(next.Step)
	if got := text(p, ".said"); !strings.Contains(got, next.Text) {
		t.Errorf("it says %q, want %q", got, next.Text)
	}
	fill(p, "[name=piece]", "1500")
	fill(p, "[name=case]", "1")
	p.Do(chromedp.Click("form.look button"))
	p.Wait(`document.querySelector(".story") !== null`)
	if got := text(p, ".counts"); !strings.Contains(got, "Suspect pieces in the works") {
		t.Errorf("it says %q", got)
	}
	fill(p, ".stage input[type=range]", "500")
	p.Usable()
	p.Keep("floor-suspects")
}

// TestPageJourney goes from the start to an answer to "two shifts or three?" for a
// works that is described on the way, by what the page offers alone.
func TestPageJourney(t *testing.T) {
	s := serveFolder(t)
	began := time.Now()
	p := s.open(t, "start", browser.Desk)
	p.Do(chromedp.Click(`a[href="#new"]`))
	stands(p, "new")
	p.Do(chromedp.Click(`input[value="bench-shuttle"]`))
	stands(p, "new")
	p.Wait(`location.hash === "#new/bench-shuttle" && document.querySelector("[name=load]") !== null`)
	fill(p, "[name=name]", "Kiln Lane")
	fill(p, "[name=good]", "none")
	p.Wait(`document.querySelector(".wrong") !== null`)
	p.Usable()
	p.Keep("new-wrong")
	fill(p, "[name=good]", "55")
	p.Wait(`document.querySelector(".wrong") === null && document.querySelector(".preview").textContent.includes("Kiln Lane")`)
	p.Do(chromedp.Click(`form button[type=submit]`))
	stands(p, "works")
	p.Wait(`document.querySelector(".sum table") !== null`)
	p.Do(chromedp.Click(`a[href="#ask/compare/kiln-lane.yaml"]`))
	stands(p, "ask")
	p.Wait(`document.querySelector(".preview").textContent.includes("three-shifts")`)
	p.Usable()
	p.Keep("question")
	answered(p, "done")
	t.Logf("from the start to the answer in %s", time.Since(began).Round(time.Second))
	if got := text(p, ".run h1"); !strings.Contains(got, "shift") && !strings.Contains(got, "today") {
		t.Errorf("the answer is %q", got)
	}
	if got := browser.Value[int](p, `document.querySelectorAll(".changes section").length`); got < 3 {
		t.Errorf("%d options are told in words", got)
	}
	browser.Value[bool](p, `(document.querySelector(".changes").open = true)`)
	p.Usable()
	p.Keep("journey")
	framed(t, p)
	if _, err := os.Stat(filepath.Join(s.folder, "questions", "two-shifts-or-three-kiln-lane.yaml")); err != nil {
		t.Error(err)
	}
}
