// Package emulator builds the capture board's program and runs it in an emulated
// board. It is for tests; it needs a compiler for the board, simavr and a C
// compiler.
package emulator

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
)

// flags are what the board's program is built with. They leave no trace of the
// folder or the time in it.
var flags = strings.Fields("-mmcu=atmega328p -std=gnu11 -Os -Wall -Wextra -Wstrict-prototypes -Werror")

// packages has each tool with the Debian package that brings it.
var packages = map[string]string{
	"avr-gcc": "gcc-avr", "avr-objcopy": "binutils-avr", "simavr": "simavr", "gcc": "gcc", "g++": "g++", "pkg-config": "pkg-config",
}

// Ready reports whether the tools are there. Where they are not the test is left
// out, but fails where the variable CI is set.
func Ready(t testing.TB) bool {
	t.Helper()
	var missing []string
	for tool, pkg := range packages {
		if _, err := exec.LookPath(tool); err != nil {
			missing = append(missing, pkg)
		}
	}
	missing = append(missing, missingLibraries()...)
	if len(missing) == 0 {
		return true
	}
	slices.Sort(missing)
	report := t.Logf
	if os.Getenv("CI") != "" {
		report = t.Errorf
	}
	report("left out: this test needs the packages %s; .ci/setup installs them", strings.Join(missing, " "))
	return false
}

// headers has a header of each library with the Debian package that brings it.
var headers = map[string]string{"simavr/sim_avr.h": "libsimavr-dev", "libelf.h": "libelf-dev", "pty.h": "libc6-dev"}

// missingLibraries returns the packages of libraries that the compiler does not
// find. Without a compiler that cannot be told.
var missingLibraries = sync.OnceValue(func() (missing []string) {
	for header, pkg := range headers {
		cmd := exec.Command("gcc", "-E", "-o", os.DevNull, "-")
		cmd.Stdin = strings.NewReader("#include <" + header + ">\n")
		var failed *exec.ExitError
		if errors.As(cmd.Run(), &failed) {
			missing = append(missing, pkg)
		}
	}
	if exec.Command("avr-gcc", "--version").Run() == nil && command("", "avr-gcc", "-mmcu=atmega328p", "-E", "-include", "avr/io.h", "-o", os.DevNull, os.DevNull) != nil {
		missing = append(missing, "avr-libc")
	}
	return missing
})

// folder returns the folder of this file.
func folder() string {
	_, file, _, _ := runtime.Caller(0)
	return filepath.Dir(file)
}

// Sources returns the folder of the board's C sources.
func Sources() string { return filepath.Join(folder(), "..", "handspin") }

// Build builds the sources in a folder, with more flags where needed. It returns
// the program as an ELF file, which it writes to elf, and as Intel HEX.
func Build(sources, elf string, more ...string) (hex []byte, err error) {
	files, err := filepath.Glob(filepath.Join(sources, "*.c"))
	if err != nil || len(files) == 0 {
		return nil, fmt.Errorf("no sources in %s", sources)
	}
	args := append(append(append([]string{}, flags...), more...), "-o", elf)
	for _, f := range files { // sorted: the order decides the layout
		args = append(args, filepath.Base(f))
	}
	if err := command(sources, "avr-gcc", args...); err != nil {
		return nil, err
	}
	if err := command("", "avr-objcopy", "-O", "ihex", "-R", ".eeprom", elf, elf+".hex"); err != nil {
		return nil, err
	}
	hex, err = os.ReadFile(elf + ".hex")
	return bytes.ReplaceAll(hex, []byte("\r\n"), []byte("\n")), err
}

func command(dir, name string, args ...string) error {
	cmd := exec.Command(name, args...)
	cmd.Dir = dir
	if out, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("%s: %w\n%s", name, err, out)
	}
	return nil
}

// built has what the emulator needs, made once in a process.
var built struct {
	once         sync.Once
	elf, program string
	err          error
}

// build makes the board's program and the emulator's.
func build() (elf, program string, err error) {
	b := &built
	b.once.Do(func() {
		var dir string
		if dir, b.err = os.MkdirTemp("", "handspin-emulator-"); b.err != nil {
			return
		}
		b.elf, b.program = filepath.Join(dir, "board.elf"), filepath.Join(dir, "emulator")
		if _, b.err = Build(Sources(), b.elf); b.err == nil {
			b.err = compile(b.program)
		}
	})
	return b.elf, b.program, b.err
}

func compile(program string) error {
	libs, err := exec.Command("pkg-config", "--cflags", "--libs", "simavr").Output()
	if err != nil {
		return fmt.Errorf("pkg-config: %w", err)
	}
	args := strings.Fields("-std=gnu11 -O2 -Wall -Wextra -Werror -o " + program + " main.c " + string(libs) + " -lelf -lutil -lm")
	return command(filepath.Join(folder(), "simavr"), "gcc", args...)
}

// Main runs a package's tests and deletes what was built for them.
func Main(m *testing.M) {
	status := m.Run()
	if built.elf != "" {
		os.RemoveAll(filepath.Dir(built.elf))
	}
	os.Exit(status)
}

// Address returns the address of a variable of the board's program.
func Address(name string) (uint32, error) {
	elf, _, err := build()
	if err != nil {
		return 0, err
	}
	out, err := exec.Command("avr-nm", elf).Output()
	if err != nil {
		return 0, err
	}
	for line := range strings.Lines(string(out)) {
		var at uint32
		var kind, symbol string
		if n, _ := fmt.Sscanf(line, "%x %s %s", &at, &kind, &symbol); n == 3 && symbol == name {
			return at, nil
		}
	}
	return 0, fmt.Errorf("no variable %s", name)
}
