package main

import (
	"bytes"
	"context"
	"flag"
	"os"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "rewrite the golden files and README's examples")

// result is what a command line does.
type result struct {
	status         int
	stdout, stderr string
}

func handspin(stdin string, args ...string) result {
	var stdout, stderr bytes.Buffer
	status := run(context.Background(), args, strings.NewReader(stdin), &stdout, &stderr)
	return result{status, stdout.String(), stderr.String()}
}

// write writes a file into a fresh directory and returns its path.
func write(t *testing.T, name, text string) string {
	t.Helper()
	path := t.TempDir() + "/" + name
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	return path
}
