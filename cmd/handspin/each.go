package main

import (
	"iter"
	"runtime"

	"github.com/spf13/cobra"

	"handspin/cmd/handspin/internal/present"
)

// judged is a file and what came of it.
type judged struct {
	answer *present.Answer
	err    error
}

// rankEach judges every path by itself and prints a line for each, in their order.
// Files that fail do not keep the others from being judged; errTold stands for them.
func rankEach(cmd *cobra.Command, paths []string, file source, ask question, format string) error {
	out := present.NewLines(cmd.OutOrStdout(), format == "jsonl")
	var failure error
	next := 0
	for result := range parallel(cmd, paths, func(path string) judged {
		ownFile, ownAsk := file, ask // which reading changes
		a, err := ownFile.judge(cmd, []string{path}, &ownAsk)
		return judged{a, err}
	}) {
		path := paths[next]
		next++
		if result.err != nil {
			failure = errTold
			complain(cmd.ErrOrStderr(), result.err, hintOf(result.err))
			if err := out.Failed(path, result.err, hintOf(result.err)); err != nil {
				return err
			}
			continue
		}
		if err := out.Answer(result.answer); err != nil {
			return err
		}
	}
	if err := cmd.Context().Err(); err != nil {
		return err
	}
	return failure
}

// parallel does work on all paths, on as many at once as there are processors, and
// gives the results in the order of the paths. It holds no more than those under way
// and one for each processor that wait for an earlier one. It ends early when the
// context of cmd does.
func parallel(cmd *cobra.Command, paths []string, work func(path string) judged) iter.Seq[judged] {
	return func(yield func(judged) bool) {
		// One more is held by the loop below, and one by the sender.
		queue := make(chan chan judged, max(0, runtime.GOMAXPROCS(0)-2))
		stop := make(chan struct{})
		defer close(stop)
		go func() {
			defer close(queue)
			for _, path := range paths {
				result := make(chan judged, 1)
				select {
				case <-stop:
					return
				case <-cmd.Context().Done():
					return
				case queue <- result:
				}
				go func() { result <- work(path) }()
			}
		}()
		for result := range queue {
			if !yield(<-result) {
				return
			}
		}
	}
}
