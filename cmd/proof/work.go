package main

import (
	"cmp"
	"context"
	"slices"
	"sync"

	"handspin/commutation/proof"
)

// gather returns the outcomes of all seeds in order: those of the state file
// and, once worked on, the rest.
func gather(ctx context.Context, o options) ([]proof.Outcome, error) {
	s, err := openState(o.state)
	if err != nil {
		return nil, err
	}
	defer s.close()
	var all []proof.Outcome
	var left []uint64
	for k := range o.n {
		seed := o.seed + uint64(k)
		if was, ok := s.done[seed]; ok {
			all = append(all, was)
		} else {
			left = append(left, seed)
		}
	}
	for outcome := range work(ctx, left, o.jobs, func(seed uint64) proof.Outcome { return proof.Draw(seed).Run() }) {
		all = append(all, outcome)
		if err == nil {
			err = s.add(outcome) // the first failure ends the run below
		}
	}
	if err == nil {
		err = ctx.Err()
	}
	slices.SortFunc(all, func(a, b proof.Outcome) int { return cmp.Compare(a.Seed, b.Seed) })
	return all, err
}

// work does something for each seed, for so many at once, and sends the results
// as they come. It stops early when ctx ends.
func work[T any](ctx context.Context, seeds []uint64, jobs int, do func(seed uint64) T) <-chan T {
	todo, out := make(chan uint64), make(chan T)
	var workers sync.WaitGroup
	for range jobs {
		workers.Go(func() {
			for seed := range todo {
				out <- do(seed)
			}
		})
	}
	go func() {
		defer close(out)
		defer workers.Wait()
		defer close(todo)
		for _, seed := range seeds {
			select {
			case todo <- seed:
			case <-ctx.Done():
				return
			}
		}
	}()
	return out
}
