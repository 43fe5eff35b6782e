package firmware_test

import (
	"bytes"
	"encoding/hex"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"handspin/capture"
	"handspin/capture/line"
	"handspin/firmware"
	"handspin/firmware/emulator"
)

var update = flag.Bool("update", false, "build capture.hex anew")

func buildIn(t *testing.T, sources string) []byte {
	t.Helper()
	image, err := emulator.Build(sources, filepath.Join(t.TempDir(), "board.elf"))
	if err != nil {
		t.Fatal(err)
	}
	return image
}

// TestImage: the image in the program is what the sources give.
func TestImage(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	image := buildIn(t, emulator.Sources())
	if *update {
		if err := os.WriteFile("capture.hex", image, 0o666); err != nil {
			t.Fatal(err)
		}
		return
	}
	if !bytes.Equal(image, firmware.Image) {
		t.Error("capture.hex is not what the sources give with this compiler (gcc-avr 5.4 made it); build it with: go test ./firmware -update")
	}
}

// TestReproducible: the folder and the number of the build do not show.
func TestReproducible(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	elsewhere := t.TempDir()
	if err := os.CopyFS(elsewhere, os.DirFS(emulator.Sources())); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(buildIn(t, emulator.Sources()), buildIn(t, elsewhere)) {
		t.Error("the same sources give another image in another folder")
	}
}

// TestSketch: the sources build with the flags of a sketch, too, and what they
// give records as the other image does: each edge, some 2,970 sets a second, none
// dropped. The flags are those of the platform for AVR boards, version 1.8,
// without the language.
func TestSketch(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	elf := filepath.Join(t.TempDir(), "sketch.elf")
	_, err := emulator.Build(emulator.Sources(), elf, "-DF_CPU=16000000L", "-DARDUINO=10819", "-ffunction-sections", "-fdata-sections",
		"-flto", "-fno-fat-lto-objects", "-Wl,--gc-sections", "-fuse-linker-plugin")
	if err != nil {
		t.Fatal(err)
	}
	sketchRecords(t, elf)
	sketches, _ := filepath.Glob(filepath.Join(emulator.Sources(), "*.ino"))
	if len(sketches) != 1 || filepath.Base(sketches[0]) != filepath.Base(emulator.Sources())+".ino" {
		t.Errorf("a sketch is named as its folder: %q", sketches)
	}
}

// sketchRecords runs an image for two seconds of 400 edges each.
func sketchRecords(t *testing.T, elf string) {
	t.Helper()
	var s emulator.Script
	s.Wave(0, [3]float64{2500, 2500, 2500})
	const seconds, perSecond = 2, 400
	for i := range seconds * perSecond {
		s.Hall(50000+1e6/perSecond*float64(i), []capture.Levels{5, 4, 6, 2, 3, 1}[i%6])
	}
	s.End(2.2e6)
	sent, _ := emulator.RunImage(t, elf, &s, emulator.Options{})
	edges, sets := 0, 0
	for text := range bytes.Lines(sent[:bytes.LastIndexByte(sent, '\n')+1]) {
		row, err := line.ParseRow(bytes.TrimSuffix(text, []byte("\n")))
		switch {
		case bytes.HasPrefix(text, []byte("# dropped: ")) && !bytes.HasPrefix(text, []byte("# dropped: 0,0")):
			t.Errorf("%s", text)
		case err != nil: // the header
		case row.Edge:
			edges++
		default:
			sets++
		}
	}
	// The first edge row says how the levels were at the start.
	if rate := float64(sets) / 2.2; edges != 1+seconds*perSecond || rate < 2900 || rate > 3000 {
		t.Errorf("%d edges, %.0f sets a second", edges, rate)
	}
}

// TestBaudErrorBreaksTheBuild: 230,400 baud is 3.5 % off at 16 MHz, as the data
// sheet's table of baud rates says.
func TestBaudErrorBreaksTheBuild(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(emulator.Sources())); err != nil {
		t.Fatal(err)
	}
	config, err := os.ReadFile(filepath.Join(dir, "config.h"))
	if err != nil {
		t.Fatal(err)
	}
	changed := bytes.Replace(config, []byte("SAFE_BAUD 500000UL"), []byte("SAFE_BAUD 230400UL"), 1)
	if bytes.Equal(changed, config) {
		t.Fatal("config.h has no SAFE_BAUD of 500000UL")
	}
	if err := os.WriteFile(filepath.Join(dir, "config.h"), changed, 0o666); err != nil {
		t.Fatal(err)
	}
	_, err = emulator.Build(dir, filepath.Join(dir, "board.elf"))
	if err == nil || !bytes.Contains([]byte(err.Error()), []byte("baud rate of the safe mode is off")) {
		t.Errorf("it builds: %v", err)
	}
}

// TestImageIsIntelHex: every record of the image has the sum that the format
// asks for: all its bytes add up to zero.
func TestImageIsIntelHex(t *testing.T) {
	lines := bytes.Fields(firmware.Image)
	if last := string(lines[len(lines)-1]); last != ":00000001FF" {
		t.Errorf("the last record is %s", last)
	}
	size := 0
	for i, l := range lines {
		record, err := hex.DecodeString(string(l[1:]))
		if err != nil || l[0] != ':' || int(record[0])+5 != len(record) {
			t.Fatalf("record %d is %s", i, l)
		}
		var sum byte
		for _, b := range record {
			sum += b
		}
		if sum != 0 {
			t.Errorf("record %d has a wrong sum: %s", i, l)
		}
		size += int(record[0])
	}
	// 32 KB of flash, 2 KB of which hold the boot loader.
	if size < 1000 || size > 30<<10 {
		t.Errorf("%d bytes", size)
	}
}
