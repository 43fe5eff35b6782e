package main

import (
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// packages returns the project's packages with what each imports, tests included.
func packages(t *testing.T) map[string][]string {
	t.Helper()
	const imports = `{{join .Imports " "}} {{join .TestImports " "}} {{join .XTestImports " "}}`
	out, err := exec.Command("go", "list", "-f", "{{.ImportPath}} "+imports, "handspin/...").CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	all := map[string][]string{}
	for line := range strings.Lines(string(out)) {
		fields := strings.Fields(line)
		all[fields[0]] = fields[1:]
	}
	if len(all) < 8 {
		t.Fatalf("only %d packages: %s", len(all), out)
	}
	return all
}

// layer numbers the packages: imports go from a higher number to a lower one,
// or stay within one.
func layer(path string) int {
	for i, name := range []string{"handspin/capture", "handspin/commutation", "handspin/firmware", "handspin/cmd"} {
		if path == name || strings.HasPrefix(path, name+"/") {
			return i
		}
	}
	return -1
}

func TestImportsPointOneWay(t *testing.T) {
	for from, imports := range packages(t) {
		for _, to := range imports {
			if layer(to) > layer(from) {
				t.Errorf("%s imports %s", from, to)
			}
			if from == "handspin/commutation" && strings.HasPrefix(to, "handspin/") {
				t.Errorf("%s imports %s, but it stands by itself", from, to)
			}
		}
	}
}

// TestSingleImporters: each of these libraries is behind one package.
func TestSingleImporters(t *testing.T) {
	only := map[string]string{
		"github.com/olekukonko/tablewriter": "handspin/cmd/handspin/internal/present",
		"github.com/spf13/cobra":            "handspin/cmd/handspin",
		"github.com/chromedp/chromedp":      "handspin/cmd/handspin",
		"go.bug.st/serial":                  "handspin/capture/board",
		"gonum.org/v1/plot":                 "handspin/cmd/handspin/internal/picture",
	}
	for library, want := range only {
		var found []string
		for from, imports := range packages(t) {
			if slices.ContainsFunc(imports, func(to string) bool { return to == library || strings.HasPrefix(to, library+"/") }) {
				found = append(found, from)
			}
		}
		if !slices.Equal(found, []string{want}) {
			t.Errorf("%s is imported by %q", library, found)
		}
	}
}

// TestTopLevel: what lies at the top of the repository.
func TestTopLevel(t *testing.T) {
	allowed := strings.Fields("capture cmd commutation firmware testdata go.mod go.sum README.md DEVELOPERS.md")
	entries, err := os.ReadDir("../..")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") && !slices.Contains(allowed, e.Name()) {
			t.Errorf("%s has no place at the top", e.Name())
		}
	}
}
