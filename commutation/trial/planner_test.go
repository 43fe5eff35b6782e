package trial

import (
	"math"
	"math/rand/v2"
	"testing"

	"handspin/capture/synth"
	"handspin/commutation"
	"handspin/commutation/spin"
)

// fewest is the mean number of trials over twelve equally probable tables,
// worked out by hand. Any wiring is clean forward with 1 of them, clean reverse
// with 1, weak forward with 2, weak reverse with 2 and stalls with 6. The first
// trial thus ends at once for 1; for 1 the answer leads to the second; of each
// two that are weak one is found by the second and one by the third. Of the six
// the second trial, the other way round, finds 1; 1 is found by the third; each
// two that are weak by the third and fourth: 2+3+3+4+3+4.
const fewest = (1 + 2 + 2*(2+3) + (2 + 3 + 2*(3+4))) / 12.0

// most is the longest of these ways.
const most = 4

func TestFewestTrials(t *testing.T) {
	for _, spacing := range []float64{120, 60} {
		for _, off := range [][3]float64{{}, {5, -7, 3}, {14, 10, 12}, {-15, 12, 9}, {20, -20, 0}} {
			check(t, New(ideal(spacing, off), nil, Equal))
		}
	}
}

// check has the planner find each table that can run its motor.
func check(t *testing.T, p *Planner) {
	t.Helper()
	// Half of the tables are for the motor's spacing, with noTable for none. Of
	// those one in twelve is clean, unless the motor itself is on the border,
	// which even the worst of these is with no more than a few percent. A measured
	// motor near the border may suit the next table, too: its sensors' hysteresis,
	// not seen in one direction, is drawn.
	const rounding, border = 1e-9, 0.05
	served := 0.5 / (1 + noTable)
	first := p.Next(nil, nil)
	if c := 12 * first.Chance / served; first.Left != 12 || first.Worst != most || math.Abs(first.Expected-fewest) > rounding || c > 1+border || c < 1-border {
		t.Errorf("before any trial: %+v, %g", first, c)
	}
	// The least that is known at the end, where the first trial is clean forward:
	// that is what judges say of one that is with 0.65*0.926+0.3*0.955+0.05*0.085 = 0.893,
	// and of each of two that are weak with 0.65*0.099+0.3*0.891+0.05*0.02 = 0.333, so it is
	// right with 0.893/(0.893+2*0.333) = 0.57; 0.02 less for all other ways to that answer.
	const least = 0.55
	sum, worst := 0, 0
	for _, truth := range serving(p) {
		trials, a, early := play(t, p, truth, honest)
		sum += len(trials)
		worst = max(worst, len(trials))
		if a.Tables[0].Class != truth.class || a.Chance < least || !a.Proven || early || len(a.Misfits) > 0 {
			t.Errorf("%v: %+v", truth.class, a)
		}
	}
	if mean := float64(sum) / 12; math.Abs(mean-fewest) > rounding || worst != most {
		t.Errorf("%.3f trials on average and up to %d, want %.3f and %d", mean, worst, fewest, most)
	}
}

func TestMeasuredMotors(t *testing.T) {
	// Motors as estimated from simulated recordings, sensors off by up to 12
	// degrees: whatever the table, it is found as fast.
	for seed := range uint64(6) {
		config := synth.Random(synth.Ordinary, seed+1)
		r := rand.New(rand.NewPCG(seed, 1))
		off := [3]float64{r.Float64()*24 - 12, r.Float64()*24 - 12, r.Float64()*24 - 12}
		for i, s := range synth.Placed(120, float64(30+60*(seed%6)), [3]int{0, 1, 2}, off) {
			config.Motor.Sensors[i].RiseDeg, config.Motor.Sensors[i].WidthDeg = s.RiseDeg, s.WidthDeg
		}
		rec, _ := config.Record()
		result := spin.Analyse(rec, spin.Options{})
		if !result.Usable {
			t.Fatalf("seed %d: not usable", seed)
		}
		check(t, New(result.Motor, result.Draws, Equal))
	}
}

func TestPublishedPriorFindsCommonTablesSooner(t *testing.T) {
	p := New(ideal(120, [3]float64{}), nil, Published)
	weighted, total := 0.0, 0.0
	for _, truth := range serving(p) {
		trials, _, _ := play(t, p, truth, honest)
		if len(trials) > most {
			t.Errorf("%v after %d trials", truth.class, len(trials))
		}
		weighted += truth.prior * float64(len(trials))
		total += truth.prior
	}
	// By the planner's own measure it cannot do worse than what is best when
	// all tables are equally probable.
	first := p.Next(nil, nil)
	if mean := weighted / total; mean >= fewest || math.Abs(mean-first.Expected) > 1e-9 {
		t.Errorf("%.3f trials on average, %.3f foretold, %.3f with equal weights", mean, first.Expected, fewest)
	}
}

func TestMistakenAnswers(t *testing.T) {
	// One answer in ten takes weak for clean or clean for weak. The bounds are
	// what is asked for: it is solved all the same, with under 4 trials on average.
	other := map[commutation.Behaviour]commutation.Behaviour{
		commutation.CleanForward: commutation.WeakForward, commutation.WeakForward: commutation.CleanForward,
		commutation.CleanReverse: commutation.WeakReverse, commutation.WeakReverse: commutation.CleanReverse,
	}
	r := rand.New(rand.NewPCG(1, 2))
	mistaken := func(b commutation.Behaviour) commutation.Behaviour {
		if o, ok := other[b]; ok && r.Float64() < 0.1 {
			return o
		}
		return b
	}
	for name, prior := range map[string]Prior{"equal": Equal, "published": Published} {
		p := New(ideal(120, [3]float64{5, -7, 3}), nil, prior)
		games, sum, early, worst, weak := 0, 0, 0, 0, 0
		for range 50 {
			for _, truth := range serving(p) {
				trials, _, tooSoon := play(t, p, truth, mistaken)
				for _, one := range trials {
					if truth.does[p.index(one.Wiring)] == commutation.WeakForward {
						weak++
					}
				}
				games++
				sum += len(trials)
				worst = max(worst, len(trials))
				if tooSoon {
					early++
				}
			}
		}
		mean := float64(sum) / float64(games)
		t.Logf("%s: %.2f trials on average, at most %d; solved too soon in %d of %d", name, mean, worst, early, games)
		// It can only be solved too soon where a weak forward run is taken for a
		// clean one, as one in ten is: a binomial number, and four of its standard
		// deviations more.
		mistakes := 0.1*float64(weak) + 4*math.Sqrt(0.1*0.9*float64(weak))
		if mean >= 4 || float64(early) > mistakes {
			t.Errorf("%s: %.2f trials on average, solved too soon in %d of %d, with %d weak runs", name, mean, early, games, weak)
		}
	}
}

func TestCheckedAnswers(t *testing.T) {
	// A person who errs as the planner expects, with every kind of mistake, and
	// who makes the check when told: of the answers called sure one in twenty may
	// be wrong, which is what is claimed.
	r := rand.New(rand.NewPCG(8, 9))
	errs := func(b commutation.Behaviour) commutation.Behaviour {
		x := r.Float64()
		for _, answer := range Outcomes[:6] {
			if x -= judges[0].answers[b][answer]; x < 0 {
				return answer
			}
		}
		return b
	}
	p := New(ideal(120, [3]float64{5, -7, 3}), nil, Equal)
	games, sum, wrong := 0, 0, 0
	for range 50 {
		for _, truth := range serving(p) {
			trials, right := checked(t, p, truth, errs)
			games++
			sum += trials
			if !right {
				wrong++
			}
		}
	}
	t.Logf("%.2f trials on average, wrong in %d of %d", float64(sum)/float64(games), wrong, games)
	if float64(wrong) > (1-Sure)*float64(games) {
		t.Errorf("wrong in %d of %d", wrong, games)
	}
}

func TestOneAnswerIsNoProof(t *testing.T) {
	// Clean forward at first: solved, but of the three tables that explain it two
	// had to be mistaken for. Another wiring tells, by its direction and by being
	// weak if the first was clean; the same once more tells less, for whoever was
	// mistaken will be so again.
	p := New(ideal(120, [3]float64{}), nil, Equal)
	first := p.Next(nil, nil).Try
	trials := []Trial{{Wiring: first, Outcome: commutation.CleanForward}}
	a := p.Next(nil, trials)
	if !a.Solved || a.Chance >= Sure || len(a.Tables) < 3 || !a.Differ || a.Check == a.Try {
		t.Errorf("one answer: %+v", a)
	}
	yes := p.Next(nil, append(trials, Trial{Wiring: a.Check, Outcome: a.CheckDoes}))
	no := p.Next(nil, append(trials, Trial{Wiring: a.Check, Outcome: opposite(a.CheckDoes)}))
	again := p.Next(nil, append(trials, trials[0]))
	if !yes.Solved || yes.Chance < Sure || yes.Try != first || !again.Solved || again.Chance >= Sure || again.Chance <= a.Chance || no.Solved && no.Chance > a.Chance {
		t.Errorf("confirmed: %+v\nagain: %+v\nrefuted: %+v", yes, again, no)
	}
}

// opposite is the same the other way round.
func opposite(b commutation.Behaviour) commutation.Behaviour {
	return map[commutation.Behaviour]commutation.Behaviour{
		commutation.CleanForward: commutation.CleanReverse, commutation.CleanReverse: commutation.CleanForward,
		commutation.WeakForward: commutation.WeakReverse, commutation.WeakReverse: commutation.WeakForward,
	}[b]
}

func TestJudgesThatDoNotTellWeakFromClean(t *testing.T) {
	// A person who calls all that turns clean, and one to whom every run is rough, as
	// with a motor of worn bearings, tell but which way it turns: of six wirings that
	// turn, each 60 degrees on from the one before, those that go forward are the
	// clean one and its neighbours (cos 0 and cos 60 are positive, cos 120 and cos 180
	// are not), which finds it without any other knowledge. The trap of "it spins" must
	// not be called solved, nor the same wiring be asked for without end.
	weak, clean := commutation.WeakForward, commutation.CleanForward
	for name, means := range map[string]map[commutation.Behaviour]commutation.Behaviour{
		"all that turns is clean": {weak: clean, commutation.WeakReverse: commutation.CleanReverse},
		"nothing is clean":        {clean: weak, commutation.CleanReverse: commutation.WeakReverse},
	} {
		judge := func(b commutation.Behaviour) commutation.Behaviour {
			if said, ok := means[b]; ok {
				return said
			}
			return b
		}
		for _, prior := range []Prior{Equal, Published} {
			for _, off := range [][3]float64{{}, {5, -7, 3}} {
				p := New(ideal(120, off), nil, prior)
				for _, truth := range serving(p) {
					if trials, right := checked(t, p, truth, judge); !right || trials > 10 {
						t.Errorf("%s, sensors off by %v, %v: right %v after %d trials", name, off, truth.class, right, trials)
					}
				}
			}
		}
	}
}

func TestBorderlineMotorIsUncertain(t *testing.T) {
	// All sensors 30 degrees late: two places of a table suit them equally, so
	// that more than one table explains any clean run.
	m := ideal(120, [3]float64{30, 30, 30})
	var draws []commutation.Motor
	for _, more := range []float64{-2, 0, 2} {
		draws = append(draws, ideal(120, [3]float64{30 + more, 30 + more, 30 + more}))
	}
	p := New(m, draws, Equal)
	_, a, _ := play(t, p, serving(p)[0], honest)
	if a.Tables[0].Probability > 0.6 || !a.Differ {
		t.Errorf("%+v", a)
	}
	w := p.index(a.Try)
	if odds := p.tables[0].odds[w]; len(odds) != 6 {
		t.Errorf("%v", odds)
	}
}

func TestTrialsWithoutAPlan(t *testing.T) {
	// Of 36 wirings in random order 3 are clean forward; the first of k of n
	// comes at (n+1)/(k+1) on average (order statistics) and at n-k+1 at latest.
	p := New(ideal(120, [3]float64{}), nil, Equal)
	r := rand.New(rand.NewPCG(3, 4))
	for _, truth := range serving(p) {
		clean := 0
		for _, b := range truth.does {
			if b == commutation.CleanForward {
				clean++
			}
		}
		if clean != 3 {
			t.Fatalf("%v: %d clean forward", truth.class, clean)
		}
		const games = 4000
		sum := 0
		for range games {
			for n, w := range r.Perm(36) {
				if truth.does[w] == commutation.CleanForward {
					sum += n + 1
					break
				}
			}
		}
		// The position has a standard deviation of 7.0 (that of a first order
		// statistic: sqrt(k(n+1)(n-k)/((k+1)^2(k+2)))); four of the mean's.
		sd := math.Sqrt(3*37*33/(16.0*5)) / math.Sqrt(games)
		if mean := float64(sum) / games; math.Abs(mean-9.25) > 4*sd {
			t.Errorf("%v: %.2f trials on average, want 9.25", truth.class, mean)
		}
	}
}

func TestTwelveTrialsByHand(t *testing.T) {
	// The published procedure (endless-sphere.com wiki, "Determining the Wiring
	// for a Brushless Motor"): one Hall order and one with two Halls exchanged,
	// with each the six phase orders; 12 trials hold a clean forward wiring.
	p := New(ideal(120, [3]float64{}), nil, Equal)
	for _, truth := range serving(p) {
		forward, reverse := 0, 0
		for i, w := range p.wirings {
			if w.Hall != [3]int{0, 1, 2} && w.Hall != [3]int{1, 0, 2} {
				continue
			}
			switch truth.does[i] {
			case commutation.CleanForward:
				forward++
			case commutation.CleanReverse:
				reverse++
			}
		}
		if forward != 1 || reverse != 1 {
			t.Errorf("%v: %d forward and %d reverse", truth.class, forward, reverse)
		}
	}
}

func TestFaultsPointToTheSpacing(t *testing.T) {
	// A controller for 60 degrees refuses states of a 120-degree motor whatever
	// the wiring: two refusals, and no wiring is worth a trial.
	for name, prior := range map[string]Prior{"equal": Equal, "published": Published} {
		p := New(ideal(120, [3]float64{}), nil, prior)
		var trials []Trial
		for range 2 {
			a := p.Next(nil, trials)
			if a.Left == 0 {
				t.Fatalf("%s: no trial after %d", name, len(trials))
			}
			trials = append(trials, Trial{Wiring: a.Try, Outcome: commutation.Fault})
		}
		a := p.Next(nil, trials)
		if a.Unserved < Sure || a.Left != 0 || a.Solved || a.Chance != 0 || len(a.Misfits) == 0 {
			t.Errorf("%s: %+v", name, a)
		}
	}
}

func TestUnsureSaysNothing(t *testing.T) {
	p := New(ideal(120, [3]float64{}), nil, Published)
	before := p.Next(nil, nil)
	trials := []Trial{{Wiring: before.Try, Outcome: Unsure}}
	after := p.Next(nil, trials)
	if before.Unserved != after.Unserved || before.Left != after.Left || before.Try != after.Try || after.Solved || len(after.Misfits) != 0 {
		t.Errorf("%+v, then %+v", before, after)
	}
	// Twice the same: it is time for another.
	if twice := p.Next(nil, append(trials, trials[0])); p.alike(p.index(twice.Try), p.index(before.Try)) || twice.Left != before.Left {
		t.Errorf("unsure twice: %+v", twice)
	}
}

func TestCurrentHelps(t *testing.T) {
	// A weak wiring that passed for clean is told by its current, once there is
	// another to compare with, and so is a clean one.
	p := New(ideal(120, [3]float64{}), nil, Equal)
	first := p.Next(nil, nil)
	weak := Trial{Wiring: p.wirings[1], Outcome: commutation.WeakForward}
	for w := range p.wirings { // any other that may be weak while the first is clean
		if !p.alike(w, p.index(first.Try)) {
			weak.Wiring = p.wirings[w]
		}
	}
	clean := Trial{Wiring: first.Try, Outcome: commutation.CleanForward}
	chance := func(weakAmps, cleanAmps float64) float64 {
		weak.Amps, clean.Amps = weakAmps, cleanAmps
		trials := []Trial{weak, clean}
		posterior := p.posterior(p.likelihoods(nil, trials))
		return p.chance(posterior[:len(p.tables)], p.index(clean.Wiring), trials)
	}
	without, more, less := chance(0, 0), chance(3, 1), chance(1, 3)
	if !(less < without && without < more) {
		t.Errorf("%.3f with more current, %.3f without measuring, %.3f with less", less, without, more)
	}
}

func TestReadings(t *testing.T) {
	// One state leaves two of the twelve tables: each drives each of the six
	// pairs in each state once for either sense. Two neighbours leave one.
	p := New(ideal(120, [3]float64{}), nil, Published)
	typical := commutation.Typical()
	var readings []Reading
	for i, want := range []struct {
		left   int
		solved bool
	}{{2, false}, {1, true}} {
		s := []commutation.State{0b101, 0b100}[i]
		d, _ := typical.At(s)
		readings = append(readings, Reading{s, d})
		a := p.Next(readings, nil)
		if a.Left != want.left || a.Solved != want.solved {
			t.Errorf("%v: %+v", readings, a)
		}
		if c, _ := commutation.Classify(typical); a.Tables[0].Class != c {
			t.Errorf("%v: %v", readings, a.Tables)
		}
	}
	sure := p.Next(readings, nil)
	if sure.Tables[0].Probability < Sure {
		t.Errorf("two readings: %+v", sure)
	}
	// No table drives the same in two states: one of the readings is wrong.
	readings[1].Drive = readings[0].Drive
	if a := p.Next(readings, nil); len(a.Misread) != 1 || a.Solved {
		t.Errorf("contradiction: %+v", a)
	}
}

func TestReadingsAreDoubted(t *testing.T) {
	// Two readings that fit one table only, and the wiring that this calls for
	// stalls twice: a reading is as likely to be wrong as that.
	p := New(ideal(120, [3]float64{}), nil, Published)
	typical := commutation.Typical()
	var readings []Reading
	for _, s := range []commutation.State{0b101, 0b100} {
		d, _ := typical.At(s)
		readings = append(readings, Reading{s, d})
	}
	before := p.Next(readings, nil)
	stall := Trial{Wiring: before.Try, Outcome: commutation.Stall}
	after := p.Next(readings, []Trial{stall, stall})
	if !before.Solved || after.Solved || after.Chance >= before.Chance/2 || len(after.Misfits)+len(after.Misread) == 0 {
		t.Errorf("%+v, then %+v", before, after)
	}
}

func TestReadingsOfAnotherSpacing(t *testing.T) {
	// A table that drives something at 000 is one for 60 degrees: no wiring. Two
	// of the twelve drive that.
	p := New(ideal(120, [3]float64{}), nil, Equal)
	a := p.Next([]Reading{{0b000, commutation.Drive{High: commutation.U, Low: commutation.V}}}, nil)
	if a.Left != 0 || a.Unserved < Sure || len(a.Tables) < 2 || a.Tables[0].Probability != a.Tables[1].Probability {
		t.Errorf("%+v", a)
	}
	for _, c := range a.Tables[:2] {
		if c.Class.SpacingDeg != 60 || c.Serves {
			t.Errorf("%+v", c)
		}
	}
}

func TestMotorThatNothingRuns(t *testing.T) {
	var dead commutation.Motor
	if p := New(dead, nil, Equal); p.Serves() {
		t.Error("a motor without back-EMF is served")
	}
}
