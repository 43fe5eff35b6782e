package main

import (
	"fmt"
	"slices"
	"strings"
)

// value is a flag's value that is checked when the flag is read, so that a
// wrong one counts as wrong usage.
type value[T any] struct {
	got   T
	text  string
	kind  string   // what help calls the value
	words []string // all that it may be, where these are few
	parse func(text string) (T, error)
}

func (v *value[T]) String() string { return v.text }
func (v *value[T]) Type() string   { return v.kind }

func (v *value[T]) Set(text string) error {
	got, err := v.parse(text)
	if err == nil {
		v.got, v.text = got, text
	}
	return err
}

// into is v, which sets to as well.
func into[T any](to *T, v *value[T]) *value[T] {
	parse := v.parse
	v.parse = func(text string) (T, error) {
		got, err := parse(text)
		if err == nil {
			*to = got
		}
		return got, err
	}
	return v
}

// choice is a flag that takes one of a few words, the first by default.
func choice(kind string, words ...string) *value[string] {
	return &value[string]{got: words[0], text: words[0], kind: kind, words: words, parse: func(text string) (string, error) {
		if !slices.Contains(words, text) {
			return "", fmt.Errorf("it is one of %s", strings.Join(words, ", "))
		}
		return text, nil
	}}
}

// list is a flag that may be given more than once.
type list[T any] struct {
	got   []T
	text  []string
	kind  string // what help calls the value
	parse func(text string) (T, error)
}

func (l *list[T]) String() string { return strings.Join(l.text, " ") }
func (l *list[T]) Type() string   { return l.kind }

func (l *list[T]) Set(text string) error {
	got, err := l.parse(text)
	if err == nil {
		l.got, l.text = append(l.got, got), append(l.text, text)
	}
	return err
}
