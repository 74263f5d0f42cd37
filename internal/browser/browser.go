// Package browser opens pages in Debian's Chromium for tests. A page that says
// anything on its console, asks for anything off this machine, or cannot be used
// by keyboard and screen reader fails the test that opened it. Pictures are kept
// for a person to look at with
//
//	go test -artifacts -outputdir=FOLDER
//
// Only tests import this package.
package browser

import (
	"context"
	_ "embed"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// The widths at which pages are looked at, CSS pixels: a desk and a telephone.
const (
	Desk      = 1280
	Telephone = 390
)

// patience is how long one step of a test may take. A busy machine needs several
// seconds to start a browser.
const patience = 90 * time.Second

// Browser is a running Chromium without a network.
type Browser struct{ ctx context.Context }

// Start starts Chromium; it ends with the test.
func Start(t testing.TB) *Browser {
	t.Helper()
	flags := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath("chromium"), chromedp.NoSandbox, // root has no sandbox
		chromedp.UserDataDir(t.TempDir()), chromedp.WSURLReadTimeout(patience),
		chromedp.Flag("disable-gpu", true), chromedp.Flag("hide-scrollbars", true),
		chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost"),
	)
	allocated, stop := chromedp.NewExecAllocator(context.Background(), flags...)
	ctx, end := chromedp.NewContext(allocated)
	t.Cleanup(func() { end(); stop() })
	late := time.AfterFunc(patience, stop)
	defer late.Stop()
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("chromium: %v; hint: .ci/install installs it", err)
	}
	return &Browser{ctx}
}

// Page is a tab. Its methods end the test where they cannot do what they say.
type Page struct {
	t    testing.TB
	ctx  context.Context
	mu   sync.Mutex
	said []string // on the console
	away []string // addresses off this machine that it asked for
}

// Open opens an address, or a file by its path, in a tab of a width in CSS
// pixels. What the page says on the console or asks of other machines until the
// end of the test is an error.
func (b *Browser) Open(t testing.TB, address string, width int) *Page {
	t.Helper()
	if filepath.IsAbs(address) {
		address = "file://" + address
	}
	ctx, end := chromedp.NewContext(b.ctx)
	p := &Page{t: t, ctx: ctx}
	t.Cleanup(func() { p.Quiet(); end() })
	if err := chromedp.Listen(ctx, p.hear); err != nil {
		t.Fatal(err)
	}
	p.Do(chromedp.EmulateViewport(int64(width), 900), chromedp.Navigate(address))
	return p
}

// hear notes what a page says and asks for.
func (p *Page) hear(event any) {
	p.mu.Lock()
	defer p.mu.Unlock()
	switch e := event.(type) {
	case *runtime.EventConsoleAPICalled:
		for _, a := range e.Args {
			p.said = append(p.said, string(e.Type)+": "+string(a.Value))
		}
	case *runtime.EventExceptionThrown:
		p.said = append(p.said, "exception: "+e.ExceptionDetails.Text)
	case *log.EventEntryAdded:
		p.said = append(p.said, string(e.Entry.Level)+": "+e.Entry.Text)
	case *network.EventRequestWillBeSent:
		if !near(e.Request.URL) {
			p.away = append(p.away, e.Request.URL)
		}
	}
}

// near tells whether an address is on this machine.
func near(address string) bool {
	for _, start := range []string{"file:", "data:", "blob:", "about:", "http://127.0.0.1:", "http://localhost:", "http://[::1]:"} {
		if strings.HasPrefix(address, start) {
			return true
		}
	}
	return false
}

// Quiet fails the test on what the page has said and asked for so far, and
// forgets it.
func (p *Page) Quiet() {
	p.t.Helper()
	for _, text := range p.Said() {
		p.t.Errorf("the page says: %s", text)
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, address := range p.away {
		p.t.Errorf("the page asks for %s", address)
	}
	p.away = nil
}

// Said returns what the page has said on the console so far and forgets it, for
// a test in which it has to say something.
func (p *Page) Said() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	said := p.said
	p.said = nil
	return said
}

// Do carries out actions of chromedp one after another.
func (p *Page) Do(actions ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	ctx, end := context.WithTimeout(p.ctx, patience)
	defer end()
	if err := chromedp.Do(ctx, actions...); err != nil {
		p.t.Fatal(err)
	}
}

// Get carries out an action of chromedp and returns what it gives, as
// browser.Get(p, chromedp.Text("h1")).
func Get[T any](p *Page, action chromedp.Action[T]) T {
	p.t.Helper()
	ctx, end := context.WithTimeout(p.ctx, patience)
	defer end()
	v, err := chromedp.Run(ctx, action)
	if err != nil {
		p.t.Fatal(err)
	}
	return v
}

// Value returns the value of an expression in JavaScript.
func Value[T any](p *Page, expression string) T {
	p.t.Helper()
	return Get(p, chromedp.Evaluate[T](expression))
}

// Wait waits until an expression in JavaScript is true.
func (p *Page) Wait(expression string) {
	p.t.Helper()
	Get(p, chromedp.Poll[bool](expression, chromedp.WithPollingTimeout(patience)))
}

// Keep writes a picture of the whole page as NAME.png to the test's artifacts
// and returns it as PNG.
func (p *Page) Keep(name string) []byte {
	p.t.Helper()
	shown := Get(p, chromedp.FullScreenshot(100))
	p.keep(name+".png", shown)
	return shown
}

// Print writes the page as it prints on A4 as NAME.pdf to the test's artifacts
// and returns it.
func (p *Page) Print(name string) []byte {
	p.t.Helper()
	printed := Get(p, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize(), chromedp.PDFPrintBackground()))
	p.keep(name+".pdf", printed)
	return printed
}

// OnPaper lays the page out as it prints, at the width of its tab, without the
// breaks between sheets.
func (p *Page) OnPaper() {
	p.t.Helper()
	p.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
		return err
	}))
}

func (p *Page) keep(name string, content []byte) {
	p.t.Helper()
	if err := os.WriteFile(filepath.Join(p.t.ArtifactDir(), name), content, 0o644); err != nil {
		p.t.Fatal(err)
	}
}

//go:embed usable.js
var usable string

// Usable fails the test on what keeps people from using the page as it stands:
// see usable.js for what is looked at.
func (p *Page) Usable() {
	p.t.Helper()
	for _, fault := range Value[[]string](p, usable) {
		p.t.Errorf("not usable by all: %s", fault)
	}
}
