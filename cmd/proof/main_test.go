package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"handspin/commutation/proof"
)

// prove runs the command and returns its status and output.
func prove(ctx context.Context, args ...string) (status int, stdout, stderr string) {
	var out, err bytes.Buffer
	status = run(ctx, args, &out, &err)
	return status, out.String(), err.String()
}

func TestTable(t *testing.T) {
	status, out, err := prove(t.Context(), "-n", "4", "-seed", "1", "-bound", "1")
	if status != done || err != "" {
		t.Fatalf("status %d, %s", status, err)
	}
	for _, want := range []string{"4 motors, seeds 1 to 4\n", "first three right among ranked", "of 4\n", "electrical turns", "sensor edges"} {
		if !strings.Contains(out, want) {
			t.Errorf("no %q in\n%s", want, out)
		}
	}
}

func TestRowsOnRequest(t *testing.T) {
	_, out, _ := prove(t.Context(), "-n", "3", "-csv")
	rows, err := csv.NewReader(strings.NewReader(out)).ReadAll()
	if err != nil || len(rows) != 4 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	for i, row := range rows[1:] {
		if o, err := proof.ParseRow(row); err != nil || o.Seed != uint64(i+1) {
			t.Errorf("row %d is of seed %d, %v", i, o.Seed, err)
		}
	}
}

// A run that was killed in the middle of a line goes on where it was and ends
// with the same table.
func TestResume(t *testing.T) {
	_, want, _ := prove(t.Context(), "-n", "4", "-bound", "0")
	path := filepath.Join(t.TempDir(), "state.csv")
	prove(t.Context(), "-n", "3", "-bound", "0", "-jobs", "1", "-state", path)
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(text), "\n"); n != 4 {
		t.Fatalf("%d lines, want a header and 3", n)
	}
	if err := os.WriteFile(path, text[:len(text)-9], 0o600); err != nil {
		t.Fatal(err)
	}
	s, err := openState(path)
	if err != nil || len(s.done) != 2 {
		t.Fatalf("%d are done, want 2 of the torn file, %v", len(s.done), err)
	}
	s.close()
	if _, got, err := prove(t.Context(), "-n", "4", "-bound", "0", "-state", path); got != want {
		t.Errorf("%s\n%s\nwant\n%s", err, got, want)
	}
	after, _ := os.ReadFile(path)
	if n := strings.Count(string(after), "\n"); n != 5 {
		t.Errorf("%d lines at the end, want a header and 4:\n%s", n, after)
	}
}

// What is wrong with a state file is said with its place.
func TestBadState(t *testing.T) {
	path := filepath.Join(t.TempDir(), "state.csv")
	bad := strings.Join(proof.Columns, ",") + "\n" + strings.Repeat("x,", len(proof.Columns)-1) + "x\n"
	if err := os.WriteFile(path, []byte(bad), 0o600); err != nil {
		t.Fatal(err)
	}
	status, _, message := prove(t.Context(), "-n", "1", "-state", path)
	if status != failed || !strings.Contains(message, path+":2") {
		t.Errorf("status %d, %q", status, message)
	}
	if after, _ := os.ReadFile(path); string(after) != bad {
		t.Error("the file was changed")
	}
}

// Another file is not taken for a state, and stays as it is.
func TestForeignState(t *testing.T) {
	path := filepath.Join(t.TempDir(), "motor.csv")
	if err := os.WriteFile(path, []byte("t_us,hall\n0,101\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if status, _, message := prove(t.Context(), "-n", "1", "-state", path); status != failed || !strings.Contains(message, path+":1") {
		t.Errorf("status %d, %q", status, message)
	}
}

// An interrupted run says so and fails, and keeps what it has.
func TestInterrupted(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if status, _, err := prove(ctx, "-n", "50"); status != failed || !strings.Contains(err, "canceled") {
		t.Errorf("status %d, %q", status, err)
	}
}

func TestUsage(t *testing.T) {
	for _, args := range [][]string{{"-n", "0"}, {"-n", "x"}, {"more"}, {"-jobs", "0"}} {
		if status, _, err := prove(t.Context(), args...); status != misuse || err == "" {
			t.Errorf("%v: status %d, %q", args, status, err)
		}
	}
}

func TestDamagedTable(t *testing.T) {
	status, out, err := prove(t.Context(), "-damaged", "-n", "3", "-longest", "1h")
	if status != done || err != "" || !strings.Contains(out, "wrong among ranked  0 %") {
		t.Errorf("status %d, %s\n%s", status, err, out)
	}
}
