package trial

import (
	"fmt"
	"slices"
	"strings"

	"handspin/commutation"
)

// Unsure is the outcome of a trial of which the person cannot tell what the
// motor did.
const Unsure commutation.Behaviour = "unsure"

// Outcomes are the words for what a trial showed.
var Outcomes = []commutation.Behaviour{
	commutation.CleanForward, commutation.CleanReverse, commutation.WeakForward, commutation.WeakReverse,
	commutation.Stall, commutation.Fault, Unsure,
}

// ParseOutcome reads one of [Outcomes], in capitals or not.
func ParseOutcome(text string) (commutation.Behaviour, error) {
	if b := commutation.Behaviour(strings.ToLower(text)); slices.Contains(Outcomes, b) {
		return b, nil
	}
	var names []string
	for _, b := range Outcomes {
		names = append(names, string(b))
	}
	return "", fmt.Errorf("outcome %.24q is not one of %s", text, strings.Join(names, ", "))
}

// How often people take one behaviour for another, from common experience, not
// from a publication. The direction is hard to get wrong. A weak wiring often
// passes for a clean one, a clean one seldom for a weak one. A stalling motor
// kicks and may seem to turn, either way. That the controller refuses a state of
// the sensors is seldom told from a stall.
const (
	wrongWay     = 0.01
	weakAsStall  = 0.05
	cleanAsStall = 0.01
	stallAsWeak  = 0.06
	stallAsClean = 0.002
	stallAsFault = 0.10
	turnsAsFault = 0.005
	faultAsStall = 0.40
	faultAsWeak  = 0.01
	faultAsClean = 0.001
)

// confusion has the probability of each answer, by what the motor really did.
type confusion map[commutation.Behaviour]map[commutation.Behaviour]float64

// judge is a way to judge, and how many judge so.
type judge struct {
	share   float64
	answers confusion
}

// judges are the ways, from common experience. Most people can tell a weak wiring by its
// noise, heat and current and miss it now and then. Others, who have not seen this motor run
// well, call nearly all that turns without load clean, and to a few nothing is smooth enough.
// Such a mistake is made again with each wiring and each time it is tried, and only the
// direction of what they see tells.
var judges = []judge{
	{0.65, judging(0.10, 0.05)},
	{0.3, judging(0.90, 0.02)},
	{0.05, judging(0.02, 0.90)},
}

// judging returns the answers of those who take weak for clean and clean for
// weak as often as given.
func judging(weakAsClean, cleanAsWeak float64) confusion {
	return confusion{
		commutation.CleanForward: turning(commutation.CleanForward, commutation.CleanReverse, commutation.WeakForward, commutation.WeakReverse, cleanAsWeak, cleanAsStall),
		commutation.CleanReverse: turning(commutation.CleanReverse, commutation.CleanForward, commutation.WeakReverse, commutation.WeakForward, cleanAsWeak, cleanAsStall),
		commutation.WeakForward:  turning(commutation.WeakForward, commutation.WeakReverse, commutation.CleanForward, commutation.CleanReverse, weakAsClean, weakAsStall),
		commutation.WeakReverse:  turning(commutation.WeakReverse, commutation.WeakForward, commutation.CleanReverse, commutation.CleanForward, weakAsClean, weakAsStall),
		commutation.Stall:        still(commutation.Stall, commutation.Fault, stallAsFault, stallAsWeak, stallAsClean),
		commutation.Fault:        still(commutation.Fault, commutation.Stall, faultAsStall, faultAsWeak, faultAsClean),
	}
}

// turning returns the answers about a motor that turns: is what it does and
// like the other behaviour in the same direction; back and likeBack are the
// same two in the wrong direction.
func turning(is, back, like, likeBack commutation.Behaviour, asLike, asStall float64) map[commutation.Behaviour]float64 {
	right := 1 - asLike - asStall - turnsAsFault
	return map[commutation.Behaviour]float64{
		is: right * (1 - wrongWay), back: right * wrongWay,
		like: asLike * (1 - wrongWay), likeBack: asLike * wrongWay,
		commutation.Stall: asStall, commutation.Fault: turnsAsFault,
	}
}

// still returns the answers about a motor that does not turn.
func still(is, other commutation.Behaviour, asOther, asWeak, asClean float64) map[commutation.Behaviour]float64 {
	return map[commutation.Behaviour]float64{
		is: 1 - asOther - asWeak - asClean, other: asOther,
		commutation.WeakForward: asWeak / 2, commutation.WeakReverse: asWeak / 2,
		commutation.CleanForward: asClean / 2, commutation.CleanReverse: asClean / 2,
	}
}

// likelihood returns how probable an answer is where the motor did is; an answer
// that says nothing speaks for no table.
func (c confusion) likelihood(answer, is commutation.Behaviour) float64 {
	if answer == Unsure {
		return 1
	}
	return c[is][answer]
}

// noTable is how probable it is before any trial that the controller has none of
// the tables or is faulty, relative to all the tables together; from common
// experience.
const noTable = 0.01

// untabled has the probability of each answer where the controller has none of
// the tables: it seldom runs a motor well.
var untabled = map[commutation.Behaviour]float64{
	commutation.CleanForward: 0.05, commutation.CleanReverse: 0.05,
	commutation.WeakForward: 0.1, commutation.WeakReverse: 0.1,
	commutation.Stall: 0.4, commutation.Fault: 0.3,
}

// unknown returns how probable readings and answers are where the controller has
// none of the tables.
func unknown(readings []Reading, trials []Trial) float64 {
	l := 1.0
	for range readings {
		l *= anyOne
	}
	for _, t := range trials {
		if t.Outcome != Unsure {
			l *= untabled[t.Outcome]
		}
	}
	return l
}
