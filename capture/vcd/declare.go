package vcd

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"handspin/capture"
)

// signal is a variable of the dump.
type signal struct {
	id string
	// name is the reference without a bit range and the backslash of an escaped
	// identifier.
	name string
	in   *scope
	size int
}

// scope is where signals are declared; nil is the outermost.
type scope struct {
	name  string
	in    *scope
	depth int
}

// deepest is how many scopes may be within one another: it bounds what a path takes.
const deepest = 1000

// path returns the name with the scopes before it, parted by dots.
func (s signal) path() string {
	path := []string{s.name}
	for in := s.in; in != nil; in = in.in {
		path = append(path, in.name)
	}
	slices.Reverse(path)
	return strings.Join(path, ".")
}

// declarations are what stands before the values.
type declarations struct {
	signals []signal
	// perSecond is how many units of time make a second; 0 where the dump does
	// not say.
	perSecond float64
	scope     *scope
	// ids are the identifiers that are declared.
	ids map[string]bool
}

// The keywords that begin a declaration.
var declaring = map[string]bool{"$comment": true, "$date": true, "$version": true, "$timescale": true,
	"$scope": true, "$upscope": true, "$var": true, "$enddefinitions": true}

// The keywords that begin or end a group of values.
var grouping = map[string]bool{"$dumpvars": true, "$dumpall": true, "$dumpon": true, "$dumpoff": true, "$end": true}

// declaration reads one declaration, whose keyword is t.
func (r *reader) declaration(t token) error {
	switch t.text {
	case "$var":
		return r.variable(t)
	case "$enddefinitions":
		return r.end()
	}
	body, err := r.body(t)
	if err != nil {
		return err
	}
	d := &r.declarations
	switch t.text {
	case "$timescale":
		return r.timescale(t, strings.Join(body, ""))
	case "$scope":
		return r.enter(t, plain(strings.Join(body[min(1, len(body)):], " ")))
	case "$upscope":
		if d.scope != nil {
			d.scope = d.scope.in
		}
	}
	return nil
}

// enter begins a scope.
func (r *reader) enter(at token, name string) error {
	d := &r.declarations
	inner := &scope{name: name, in: d.scope, depth: 1}
	if d.scope != nil {
		inner.depth = d.scope.depth + 1
	}
	if inner.depth > deepest {
		return r.fail(at.at, "look whether each $scope has its $upscope", "there are more than %d scopes within one another", deepest)
	}
	d.scope = inner
	return nil
}

// plain returns an identifier without the backslash that lets it have any characters.
func plain(name string) string { return strings.TrimPrefix(name, `\`) }

// end passes over the $end of $enddefinitions, which some writers forget.
func (r *reader) end() error {
	before := r.at
	t, _, err := r.next()
	if t.text != "$end" {
		r.at = before
	}
	return err
}

// free are the declarations whose text may be anything, keywords too.
var free = map[string]bool{"$comment": true, "$date": true, "$version": true, closing: true}

// closing begins the last time of an extended dump (IEEE 1364-2005, section 18.4.1;
// from memory).
const closing = "$vcdclose"

// mostWords is how many words a declaration that is no text may have.
const mostWords = 1000

// body returns the words of the declaration at up to $end, none of those that are text.
// Where a writer forgot that, the next declaration ends the body too.
func (r *reader) body(at token) (words []string, err error) {
	for {
		before := r.at
		t, ok, err := r.next()
		switch {
		case err != nil || t.text == "$end":
			return words, err
		case !ok:
			return nil, r.fail(at.at, "", "the text ends within the declaration %s", capture.Quote(at.text))
		case declaring[t.text] && !free[at.text]:
			r.at = before
			return words, nil
		case len(words) == mostWords:
			return nil, r.fail(at.at, "end it with $end", "the declaration %s has no end", capture.Quote(at.text))
		case !free[at.text]:
			words = append(words, t.text)
		}
	}
}

// sizeAndID is a size with the identifier glued to it, as a faulty writer has it.
var sizeAndID = regexp.MustCompile(`^(\d+)(\D.*)$`)

// variable reads what follows $var: type, size, identifier and reference. The
// identifier is taken by its place, for it may be any word.
func (r *reader) variable(at token) error {
	var words [3]string
	for i := range words {
		t, ok, err := r.next()
		if err != nil {
			return err
		}
		if !ok {
			return r.fail(at.at, "", "the text ends within the declaration %s", capture.Quote(at.text))
		}
		words[i] = t.text
		if glued := sizeAndID.FindStringSubmatch(t.text); i == 1 && glued != nil {
			words[1], words[2] = glued[1], glued[2]
			break
		}
	}
	reference, err := r.body(at)
	if err != nil {
		return err
	}
	size, err := strconv.Atoi(words[1])
	if err != nil || size < 1 {
		return r.fail(at.at, "", "a variable's size is not a whole number from 1 up: %s", capture.Quote(words[1]))
	}
	name := plain(strings.TrimSpace(bitRange.ReplaceAllString(strings.Join(reference, " "), "")))
	d := &r.declarations
	d.ids[words[2]] = true
	d.signals = append(d.signals, signal{id: words[2], name: name, in: d.scope, size: size})
	return nil
}

// bitRange is the range of a vector, as in [2:0], which may be glued to its name.
// A single bit's number is part of the name, as it tells the bits apart.
var bitRange = regexp.MustCompile(`\s*\[\s*\d+\s*:\s*\d+\s*\]$`)

// timeUnits are the units of time, in seconds to the minus one.
var timeUnits = map[string]float64{"s": 1, "ms": 1e3, "us": 1e6, "ns": 1e9, "ps": 1e12, "fs": 1e15}

var scaleText = regexp.MustCompile(`^(1|10|100)([a-z]+)$`)

func (r *reader) timescale(at token, text string) error {
	m := scaleText.FindStringSubmatch(strings.ToLower(text))
	if m == nil || timeUnits[m[2]] == 0 {
		return r.fail(at.at, scaleHint, "the timescale is not 1, 10 or 100 and one of s ms us ns ps fs: %s", capture.Quote(text))
	}
	n, _ := strconv.ParseFloat(m[1], 64)
	perSecond := timeUnits[m[2]] / n
	if before := r.declarations.perSecond; before != 0 && before != perSecond {
		return r.fail(at.at, "take out the one that is wrong", "there is another timescale before, and it is not %s", capture.Quote(text))
	}
	r.declarations.perSecond = perSecond
	return nil
}

// There is no timescale that could be assumed: a wrong one is off by a thousand.
const scaleHint = "find the unit of time in the program that wrote the file, and add a first line such as $timescale 1 us $end"
