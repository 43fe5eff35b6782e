package main

import (
	"bytes"
	"context"
	"math"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"
	"time"

	"handspin/capture"
	"handspin/capture/csvfile"
	"handspin/capture/synth"
	"handspin/commutation"
	"handspin/firmware/emulator"
)

// argsVariable has the arguments, a line each, for a test's program that is to be
// handspin itself.
const argsVariable = "HANDSPIN_TEST_ARGS"

func TestMain(m *testing.M) {
	if args := os.Getenv(argsVariable); args != "" {
		os.Exit(run(context.Background(), strings.Split(args, "\n"), os.Stdin, os.Stdout, os.Stderr))
	}
	busyAfter = time.Hour // what is printed must not depend on how quick a machine is
	emulator.Main(m)
}

// boardMotor is a motor whose leads are mixed up, pushed by hand, with its
// voltages as the board's pins see them: in millivolts, behind dividers by 11 to
// half of 5 V.
func boardMotor(seconds float64) synth.Config {
	c := synth.Config{Seed: 5, Spin: synth.Pushes(seconds, 4, 14)}
	c.Motor = synth.NewMotor(7, 0.06)
	c.Motor.PhaseOrder = [3]int{2, 0, 1}
	c.FrontEnd = synth.FrontEnd{
		RateHz: 5000, VoltsPerCount: 0.011, OffsetCounts: [3]float64{2500, 2500, 2500},
		ClipLow: 0, ClipHigh: 5000, Reference: synth.VirtualStar, EdgeRows: true,
	}
	return c
}

// startUS is when the motor's time begins, in microseconds from the board's reset.
const startUS = 30000

func scriptOf(rec *capture.Recording, tail float64) *emulator.Script {
	var s emulator.Script
	for i, t := range rec.Time {
		us := startUS + t*1e6
		if i == 0 || rec.Hall[i] != rec.Hall[i-1] {
			s.Hall(us, rec.Hall[i])
		}
		if !rec.Edge[i] {
			s.Wave(us, [3]float64{rec.Columns[0].Value[i], rec.Columns[1].Value[i], rec.Columns[2].Value[i]})
		}
	}
	s.End(startUS + (rec.Seconds()+tail)*1e6)
	return &s
}

// TestBoardToAnswer: a motor, the real program in an emulated board, record and
// rank give the motor's truth.
func TestBoardToAnswer(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	rec, truth := boardMotor(8).Record()
	board := emulator.Start(t, scriptOf(rec, 1), emulator.Options{NoiseMV: 5, Seed: 3})
	path := t.TempDir() + "/motor.csv"
	got := handspin("", "record", "--port", board.Port, "-o", path, "--until-enough", "--leads", "p1=red")
	board.Unplug()
	if got.status != done || got.stdout != "" || !strings.Contains(got.stderr, "handspin: enough: ") || !strings.Contains(got.stderr, "lost 0, damaged 0, gaps 0 (0.0 s), board restarted never\n") {
		t.Fatalf("%d %s%s", got.status, got.stdout, got.stderr)
	}
	answer := handspin("", "rank", path, "--format", "json")
	if answer.status != done {
		t.Fatal(answer.stderr)
	}
	compareWithTruth(t, answer.stdout, truth)
	if !strings.Contains(readFile(t, path), "\n# leads: p1=red\n") {
		t.Error("the leads' names are not in the file")
	}
}

// compareWithTruth compares an answer's clean wirings, phases and sensors with
// the motor's.
func compareWithTruth(t *testing.T, text string, truth synth.Truth) {
	t.Helper()
	r := answerOf(t, text)
	if r.Verdict != "ranked" {
		t.Fatalf("%s: %s", r.Verdict, text)
	}
	clean := r.cleanOf()
	want := commutation.Rank(motorOf(truth), nil, commutation.Typical()).Clean()
	if len(want) != 6 || len(clean) != 6 {
		t.Errorf("%d clean wirings, in truth %d", len(clean), len(want))
	}
	for _, j := range want {
		if clean[j.Wiring.String()] != string(j.Behaviour) {
			t.Errorf("%v is %q, in truth %s", j.Wiring, clean[j.Wiring.String()], j.Behaviour)
		}
	}
	truth = truth.From(truth.Seen[0].AngleDeg)
	const tolerance = 1 // degree, of recordings as short as two seconds
	for i := range 3 {
		for _, d := range []float64{
			r.Motor.Phases[i].Angle - truth.Seen[i].AngleDeg,
			r.Motor.Sensors[i].Rise - truth.Sensors[i].RiseDeg - truth.Sensors[i].HysteresisDeg,
			r.Motor.Sensors[i].Fall - truth.Sensors[i].FallDeg - truth.Sensors[i].HysteresisDeg,
		} {
			if math.Abs(commutation.Signed(d)) > tolerance {
				t.Errorf("lead %d is %.2f degrees off", i+1, d)
			}
		}
	}
}

// TestRankWithBoard: rank records and ranks at once, and keeps the recording. The
// safe mode does as well.
func TestRankWithBoard(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	rec, truth := boardMotor(8).Record()
	board := emulator.Start(t, scriptOf(rec, 1), emulator.Options{})
	path := t.TempDir() + "/kept.csv"
	got := handspin("", "rank", "--port", board.Port, "--safe", "--divider", "22", "--keep", path, "--format", "json")
	board.Unplug()
	if got.status != done {
		t.Fatalf("%d %s", got.status, got.stderr)
	}
	compareWithTruth(t, got.stdout, truth)
	if kept := readFile(t, path); !strings.Contains(kept, "# mode: safe*") || !strings.Contains(kept, "# divider: 22\n") {
		t.Errorf("%.500s", kept)
	}
	again := answerOf(t, handspin("", "rank", path, "--format", "json").stdout)
	if again.Verdict != "ranked" {
		t.Errorf("the kept recording is %s", again.Verdict)
	}
}

// TestRecordUnplugged: what was read before the board was unplugged is kept.
func TestRecordUnplugged(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	rec, _ := boardMotor(2).Record()
	board := emulator.Start(t, scriptOf(rec, 0), emulator.Options{})
	path := t.TempDir() + "/motor.csv"
	got := handspin("", "record", "--port", board.Port, "-o", path)
	if got.status != failed || !strings.Contains(got.stderr, ": the board was unplugged") {
		t.Errorf("%d %s", got.status, got.stderr)
	}
	kept := handspin("", "rank", path, "--format", "json")
	if kept.status != done {
		t.Errorf("%d %s", kept.status, kept.stderr)
	}
	if lines := strings.Count(readFile(t, path), "\n"); lines < 5000 { // some 2 s at 2,900 sets
		t.Errorf("%d lines", lines)
	}
}

// TestRecordInterrupted: Ctrl-C, which ends the context, ends the recording
// cleanly.
func TestRecordInterrupted(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	rec, _ := boardMotor(20).Record()
	board := emulator.Start(t, scriptOf(rec, 0), emulator.Options{})
	path := t.TempDir() + "/motor.csv"
	ctx, stop := context.WithCancel(t.Context())
	go func() {
		defer stop()
		for ctx.Err() == nil { // until something was flushed
			if info, err := os.Stat(path); err == nil && info.Size() > 0 {
				return
			}
			time.Sleep(20 * time.Millisecond)
		}
	}()
	var stdout, stderr bytes.Buffer
	status := run(ctx, []string{"record", "--port", board.Port, "-o", path}, strings.NewReader(""), &stdout, &stderr)
	text := readFile(t, path)
	if status != done || !strings.HasPrefix(text, "# handspin-capture: 1*") || !strings.HasSuffix(text, "\n") {
		t.Errorf("%d %s%.300s", status, stderr.String(), text)
	}
	if !strings.Contains(stderr.String(), "handspin: rank the wirings with: handspin rank "+path+"\n") {
		t.Error(stderr.String())
	}
}

// TestRecordKilled: a recorder that is killed leaves what it has flushed, in whole
// lines.
func TestRecordKilled(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	rec, _ := boardMotor(20).Record()
	board := emulator.Start(t, scriptOf(rec, 0), emulator.Options{})
	path := t.TempDir() + "/motor.csv"
	recorder := exec.Command(os.Args[0])
	recorder.Env = append(os.Environ(), argsVariable+"="+strings.Join([]string{"record", "--port", board.Port, "-o", path}, "\n"))
	if err := recorder.Start(); err != nil {
		t.Fatal(err)
	}
	size, grown := int64(0), 0
	for begin := time.Now(); grown < 4 && time.Since(begin) < 15*time.Second; time.Sleep(10 * time.Millisecond) { // a busy machine
		if info, err := os.Stat(path); err == nil && info.Size() > size {
			size = info.Size()
			grown++
		}
	}
	recorder.Process.Kill()
	if err := recorder.Wait(); grown < 4 || err == nil {
		t.Errorf("the file grew %d times; %v", grown, err)
	}
	text := readFile(t, path)
	got, err := csvfile.Parse([]byte(text), path, csvfile.Options{})
	if err != nil || !strings.HasSuffix(text, "\n") || got.BadRows != 0 || got.Seconds() < 1 {
		t.Errorf("%v, %d bytes: %+v", err, len(text), got)
	}
}

// TestRecordThroughReset: a board that is reset in the middle, and has sent its
// header twice, leaves a recording that can be ranked.
func TestRecordThroughReset(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	rec, _ := boardMotor(4).Record()
	script := scriptOf(rec, 0)
	script.Reset(2.2e6)
	board := emulator.Start(t, script, emulator.Options{})
	path := t.TempDir() + "/motor.csv"
	got := handspin("", "record", "--port", board.Port, "-o", path, "--reference", "supply")
	if !strings.Contains(got.stderr, "board restarted once\n") {
		t.Error(got.stderr)
	}
	if n := strings.Count(readFile(t, path), "# handspin-capture: 1*"); n != 2 {
		t.Errorf("%d headers", n)
	}
	if r := answerOf(t, handspin("", "rank", path, "--format", "json").stdout); r.Verdict != "ranked" {
		t.Errorf("%+v", r)
	}
}

// TestInternalReference: the board is told before the recording begins, whose
// scale is then that of 1.1 V.
func TestInternalReference(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	rec, _ := boardMotor(2).Record()
	board := emulator.Start(t, scriptOf(rec, 0), emulator.Options{})
	path := t.TempDir() + "/motor.csv"
	handspin("", "record", "--port", board.Port, "-o", path, "--reference", "internal")
	text := readFile(t, path)
	if !strings.HasPrefix(text, "# handspin-capture: 1*") || !strings.Contains(text, "# reference: internal*") ||
		strings.Contains(text, "# reference: supply*") || !strings.Contains(text, "# volts_per_count: 0.005908*") {
		t.Errorf("%.400s", text)
	}
}

// TestSafeModeThroughReset: a board that begins anew at its first settings is set
// again. A pseudo terminal has no rate, so the header tells at once.
func TestSafeModeThroughReset(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	rec, _ := boardMotor(3).Record()
	script := scriptOf(rec, 0)
	script.Reset(1.5e6)
	board := emulator.Start(t, script, emulator.Options{})
	path := t.TempDir() + "/motor.csv"
	got := handspin("", "record", "--port", board.Port, "-o", path, "--safe")
	text := readFile(t, path)
	modes := regexp.MustCompile(`# mode: (\w+)`).FindAllStringSubmatch(text, -1)
	if !strings.Contains(got.stderr, "board restarted once\n") || len(modes) < 3 || modes[0][1] != "safe" || modes[len(modes)-1][1] != "safe" {
		t.Errorf("%q %s", modes, got.stderr)
	}
}

// TestRecordGivenUp: Ctrl-C before the board is found is told as such.
func TestRecordGivenUp(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	var s emulator.Script
	s.Wave(0, [3]float64{})
	s.End(1e6)
	board := emulator.Start(t, &s, emulator.Options{})
	ctx, stop := context.WithCancel(t.Context())
	stop()
	var stdout, stderr bytes.Buffer
	status := run(ctx, []string{"record", "--port", board.Port, "-o", t.TempDir() + "/motor.csv"}, strings.NewReader(""), &stdout, &stderr)
	if status != failed || stderr.String() != "handspin: interrupted before the board was found\n" {
		t.Errorf("%d %s", status, stderr.String())
	}
}
