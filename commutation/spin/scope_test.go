package spin

import (
	"bufio"
	"compress/gzip"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"handspin/capture"
	"handspin/commutation"
	"handspin/commutation/spin/emf"
)

// scopeFolder has a real oscilloscope's recordings of the back-EMF of a motor
// with 7 pole pairs turned at about 250 rpm: one file per channel, sampled at
// the same times. Source: repository dan17229/VDyno (MIT licence), commit
// 893490a8, docs/motor_characterisation/Tests/0250rpm1.
const scopeFolder = "../../testdata/scope/"

// scopeChannel reads one channel: a header line, then time in seconds and volts.
func scopeChannel(t *testing.T, name string) (time, volts []float64) {
	t.Helper()
	file, err := os.Open(scopeFolder + name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	unzipped, err := gzip.NewReader(file)
	if err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(unzipped)
	lines.Scan()
	for lines.Scan() {
		a, b, _ := strings.Cut(lines.Text(), ",")
		x, err1 := strconv.ParseFloat(a, 64)
		y, err2 := strconv.ParseFloat(b, 64)
		if err1 != nil || err2 != nil {
			t.Fatalf("%s: bad line %q", name, lines.Text())
		}
		time, volts = append(time, x), append(volts, y)
	}
	return time, volts
}

// scopeRecording joins the three channels. No Hall lines were recorded.
func scopeRecording(t *testing.T) *capture.Recording {
	rec := &capture.Recording{Name: "scope", VoltsPerUnit: 1}
	for i, name := range []string{"chan1.csv.gz", "chan2.csv.gz", "chan3.csv.gz"} {
		time, volts := scopeChannel(t, name)
		if i == 0 {
			for _, x := range time {
				rec.Time = append(rec.Time, x-time[0])
			}
		}
		rec.Columns = append(rec.Columns, capture.Column{Signal: capture.Signal(i), Value: volts[:len(rec.Time)]})
	}
	rec.Edge = make([]bool, len(rec.Time))
	for range rec.Time {
		rec.Hall = append(rec.Hall, capture.UnknownLevels)
	}
	return rec
}

// The expected figures are those of an independent analysis of the same files,
// stated beside them: 29.11 Hz, angles 0, -120.1 and +119.4 degrees, amplitudes
// 0.999, 1.001 and 1.002 V once channel 3's scale of a tenth is corrected, fifth
// harmonic 2.1 to 3.7 %, flux linkage 5.4 mV s per electrical radian (37.7 to
// 38.3 mV s per mechanical radian over 7 pole pairs). They are given to a digit
// of the last place, hence the tolerances: 0.3 degrees, 1 %.
func TestRealScopeRecording(t *testing.T) {
	r := Analyse(scopeRecording(t), Options{})
	seconds := 0.6 // 130,896 samples 4.6 us apart
	if hz := (r.TurnsForward + r.TurnsBackward) / seconds; math.Abs(hz-29.11) > 0.3 {
		t.Errorf("%.2f Hz electrical, want 29.11", hz)
	}
	lag := func(i int) float64 { return commutation.Signed(r.Phases[i].AngleDeg.Value) }
	// Turned either way round, the two lags exchange signs.
	sign := math.Copysign(1, lag(1))
	if d2, d3 := sign*lag(1)-120.1, sign*lag(2)+119.4; math.Abs(d2) > 0.3 || math.Abs(d3) > 0.3 {
		t.Errorf("lags %.2f and %.2f, want 120.1 and -119.4 or the opposite", lag(1), lag(2))
	}
	for i, p := range r.Phases {
		if p.Amplitude.Value < 0.985 || p.Amplitude.Value > 1 {
			t.Errorf("p%d has a relative amplitude of %.3f, want 0.99 to 1", i+1, p.Amplitude.Value)
		}
		if h := p.Harmonics[5]; h < 0.021-0.005 || h > 0.037+0.005 {
			t.Errorf("p%d has a fifth harmonic of %.1f %%, want 2.1 to 3.7 %%", i+1, 100*h)
		}
	}
	if flux := r.FluxLinkage.Value; flux < 0.00538 || flux > 0.00548 {
		t.Errorf("flux linkage %.3g V s, want 37.7/7 to 38.3/7 mV s", flux)
	}
	if !hasFinding(r, "phase-scale", "p3") {
		t.Errorf("the tenth scale of p3 was not found: %v", r.Findings)
	}
	t.Log(r.Phases, r.FluxLinkage, r.TurnsForward, r.TurnsBackward, r.Findings)
}

// A real recording has no spikes.
func TestRealScopeRecordingHasNoSpikes(t *testing.T) {
	if _, n := emf.Calmed(scopeRecording(t)); n != 0 {
		t.Errorf("%d spikes, want none", n)
	}
}

func hasFinding(r *Result, code, lead string) bool {
	for _, f := range r.Findings {
		if f.Code == code && f.Lead == lead {
			return true
		}
	}
	return false
}

// Two probes of another real oscilloscope on the same motor, floating and turned
// by a drill, read about 177 degrees apart and unequal (same source, folder
// Back_EMF_Data_Drill/ALL0003): a floating reference, not a fault.
func TestRealFloatingPair(t *testing.T) {
	rec := &capture.Recording{Name: "drill", VoltsPerUnit: 1}
	for i, name := range []string{"drill-ch1.csv", "drill-ch2.csv"} {
		text, err := os.ReadFile(scopeFolder + name)
		if err != nil {
			t.Fatal(err)
		}
		var volts []float64
		for line := range strings.Lines(string(text)) {
			cells := strings.Split(line, ",")
			v, err := strconv.ParseFloat(strings.TrimSpace(cells[4]), 64)
			if err != nil {
				t.Fatal(err)
			}
			volts = append(volts, v)
		}
		rec.Columns = append(rec.Columns, capture.Column{Signal: capture.Signal(i), Value: volts})
	}
	for i := range rec.Columns[0].Value {
		rec.Time = append(rec.Time, float64(i)*4e-5) // the file's interval
		rec.Hall = append(rec.Hall, capture.UnknownLevels)
	}
	rec.Edge = make([]bool, len(rec.Time))
	r := Analyse(rec, Options{})
	if !hasFinding(r, "phase-reference", "") || r.Usable {
		t.Errorf("usable %v, findings %v", r.Usable, r.Findings)
	}
	for _, f := range r.Findings {
		if f.Severity == commutation.Repair {
			t.Errorf("a fault was claimed: %v", f)
		}
	}
}
