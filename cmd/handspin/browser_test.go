package main

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// browserReady returns the path of a browser. Where there is none the test is left
// out, but fails where the variable CI is set.
func browserReady(t *testing.T) (path string, ok bool) {
	t.Helper()
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path, true
		}
	}
	report := t.Logf
	if os.Getenv("CI") != "" {
		report = t.Errorf
	}
	report("left out: this test needs the package chromium; .ci/setup installs it")
	return "", false
}

// tab is a page in a browser, and what it did that a page should not.
type tab struct {
	t   *testing.T
	ctx context.Context
	// mu guards what follows: the browser's messages come on their own.
	mu sync.Mutex
	// requested are the addresses that were asked for, complaints what the
	// console shows.
	requested, complaints []string
}

// newTab starts a browser for one test.
func newTab(t *testing.T, browser string) *tab {
	t.Helper()
	options := append(slices.Clone(chromedp.DefaultExecAllocatorOptions[:]),
		chromedp.ExecPath(browser), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.UserDataDir(t.TempDir()))
	ctx, stop := context.WithTimeout(t.Context(), 2*time.Minute) // of a machine that does other things too
	t.Cleanup(stop)
	ctx, stop = chromedp.NewExecAllocator(ctx, options...)
	t.Cleanup(stop)
	ctx, stop = chromedp.NewContext(ctx)
	t.Cleanup(stop)
	b := &tab{t: t, ctx: ctx}
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	if err := chromedp.Listen(ctx, b.notice); err != nil {
		t.Fatal(err)
	}
	_, err := chromedp.Call(ctx, network.Enable, network.EnableParams{})
	b.must(err)
	return b
}

func (b *tab) must(err error) {
	b.t.Helper()
	if err != nil {
		b.t.Fatal(err)
	}
}

func (b *tab) notice(event any) {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch e := event.(type) {
	case *network.EventRequestWillBeSent:
		b.requested = append(b.requested, e.Request.URL)
	case *runtime.EventConsoleAPICalled:
		b.complaints = append(b.complaints, "console "+string(e.Type))
	case *runtime.EventExceptionThrown:
		b.complaints = append(b.complaints, e.ExceptionDetails.Text)
	case *log.EventEntryAdded:
		b.complaints = append(b.complaints, e.Entry.Text)
	}
}

// open shows a file.
func (b *tab) open(path string) {
	b.t.Helper()
	path, err := filepath.Abs(path)
	b.must(err)
	b.must(chromedp.Do(b.ctx, chromedp.Navigate("file://"+path), chromedp.WaitReady(chromedp.CSS("body"))))
}

// seen returns the addresses that were asked for and what the console shows.
func (b *tab) seen() (requested, complaints []string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return slices.Clone(b.requested), slices.Clone(b.complaints)
}

// look sets the width of the window and the person's taste, light or dark.
func (b *tab) look(width int64, taste string) {
	b.t.Helper()
	b.must(chromedp.Do(b.ctx, chromedp.EmulateViewport(width, 800)))
	_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: taste}}})
	b.must(err)
}

// ask evaluates an expression in the page.
func ask[T any](b *tab, expression string) T {
	b.t.Helper()
	got, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression))
	b.must(err)
	return got
}

// TestWatchingABrowser: what the tests of pages rely on is seen when it happens.
func TestWatchingABrowser(t *testing.T) {
	browser, ok := browserReady(t)
	if !ok {
		return
	}
	b := newTab(t, browser)
	b.open(write(t, "bad.html", `<!doctype html><title>bad</title><body><div style="width:2000px">wide</div><img src="other.png"><script>console.error("oh")</script>`))
	requested, complaints := b.seen()
	if len(requested) < 2 || len(complaints) == 0 || ask[float64](b, `document.documentElement.scrollWidth`) < 2000 {
		t.Errorf("requests %q, complaints %q", requested, complaints)
	}
}
