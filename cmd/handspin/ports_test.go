package main

import (
	"os"
	"strings"
	"testing"

	"handspin/firmware"
)

// TestPortCompletion: the shell gets the ports.
func TestPortCompletion(t *testing.T) {
	ports := handspin("", "ports").stdout
	for _, command := range []string{"record", "rank"} {
		got := handspin("", "__complete", command, "--port", "")
		if got.status != done || !strings.HasPrefix(got.stdout, ports) {
			t.Errorf("%s: %+v", command, got)
		}
	}
}

// TestRecordDoesNotOverwrite: a file that is there is kept, and the board is not
// even looked for.
func TestRecordDoesNotOverwrite(t *testing.T) {
	path := write(t, "motor.csv", "precious")
	got := handspin("", "record", "--port", t.TempDir()+"/none", "-o", path)
	if got.status != failed || got.stderr != "handspin: "+path+": the file is there already\nhandspin: hint: take another name, or overwrite it with --force\n" {
		t.Errorf("%d %s", got.status, got.stderr)
	}
	if readFile(t, path) != "precious" {
		t.Error("the file was overwritten")
	}
}

// TestPlaceOfRecording: whether the recording can be written is seen before the
// board is looked for and anybody spins in vain.
func TestPlaceOfRecording(t *testing.T) {
	path, nowhere := write(t, "motor.csv", "precious"), t.TempDir()+"/none/motor.csv"
	port := t.TempDir() + "/none"
	for want, args := range map[string][]string{
		"there is no folder ":           {"record", "--port", port, "-o", nowhere},
		"there is no folder":            {"rank", "--port", port, "--keep", nowhere},
		path + ": the file is there al": {"rank", "--port", port, "--keep", path},
	} {
		got := handspin("", args...)
		if got.status != failed || !strings.Contains(got.stderr, want) {
			t.Errorf("%q: %d %s", args, got.status, got.stderr)
		}
	}
	if readFile(t, path) != "precious" {
		t.Error("the file was overwritten")
	}
}

// TestPortMisuse: flags of a recording that is made now go with nothing else.
func TestPortMisuse(t *testing.T) {
	for want, args := range map[string][]string{
		"give either --port or a FILE":                     {"rank", "--port", "P", "motor.csv"},
		"--port is empty":                                  {"rank", "--port", ""},
		"--keep is empty":                                  {"rank", "--port", "P", "--keep", ""},
		"--keep is about a recording that is made now":     {"rank", "motor.csv", "--keep", "kept.csv"},
		"--safe is about a recording that is made now":     {"rank", "motor.csv", "--safe"},
		"--output is empty":                                {"record", "--port", "P", "-o", ""},
		`required flag(s) "port" not set`:                  {"record", "-o", "motor.csv"},
		"give either --port or a FILE such as \"x\": with": {"record", "--port", "P", "-o", "motor.csv", "x"},
	} {
		if got := handspin("", args...); got.status != misuse || !strings.Contains(got.stderr, want) {
			t.Errorf("%q: %d %s", args, got.status, got.stderr)
		}
	}
}

func TestRecordWithoutPort(t *testing.T) {
	dir := t.TempDir()
	for port, want := range map[string]string{
		dir + "/none": "there is no such port",
		dir:           "this is not a serial port",
		"/dev/null":   "this is not a serial port",
	} {
		got := handspin("", "record", "--port", port, "-o", dir+"/motor.csv")
		message, hint, _ := strings.Cut(got.stderr, "\n")
		if got.status != failed || message != "handspin: "+port+": "+want || !strings.HasPrefix(hint, "handspin: hint: ") {
			t.Errorf("%s: %d %s", port, got.status, got.stderr)
		}
		if _, err := os.Stat(dir + "/motor.csv"); err == nil {
			t.Error("an empty recording was left")
		}
	}
}

func TestFirmwareCommand(t *testing.T) {
	path := t.TempDir() + "/board.hex"
	got := handspin("", "firmware", "--save", path)
	if got.status != done || got.stderr != "" || !strings.Contains(got.stdout, "avrdude -p atmega328p -c arduino -b 115200 -D -P PORT -U flash:w:"+path+":i\n") {
		t.Errorf("%d %s%s", got.status, got.stdout, got.stderr)
	}
	if readFile(t, path) != string(firmware.Image) {
		t.Error("the file is not the image")
	}
	if got := handspin("", "firmware", "--save", path); got.status != failed || !strings.Contains(got.stderr, "the file is there already") {
		t.Errorf("%+v", got)
	}
	if got := handspin("", "firmware", "--save", path, "--force"); got.status != done {
		t.Errorf("%+v", got)
	}
	if got := handspin("", "firmware"); got.status != misuse {
		t.Errorf("%+v", got)
	}
	if got := handspin("", "firmware", "--save", "/nonexistent/x.hex"); got.status != failed || !strings.Contains(got.stderr, "/nonexistent/x.hex") {
		t.Errorf("%+v", got)
	}
}

func TestPortsCommand(t *testing.T) {
	got := handspin("", "ports")
	if got.status != done || got.stdout == "" && got.stderr == "" {
		t.Errorf("%+v", got)
	}
}

func TestShellWord(t *testing.T) {
	for text, want := range map[string]string{
		"motor.csv": "motor.csv", `C:\motor.csv`: `C:\motor.csv`, "my motor.csv": "'my motor.csv'", "it's": `'it'\''s'`, "": "''",
	} {
		if got := shellWord(text); got != want {
			t.Errorf("%q gives %s", text, got)
		}
	}
}
