package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"handspin/capture/board"
	"handspin/capture/csvfile"
	"handspin/cmd/handspin/internal/present"
)

// live records with the capture board until that is enough to answer the
// question, and answers it. The recording goes to the file keep, too, where that
// is named.
func live(cmd *cobra.Command, s *session, ask *question, keep string) (*present.Answer, error) {
	if keep != "" {
		if err := vacant(keep); err != nil {
			return nil, err
		}
	}
	b, err := s.open(cmd.Context())
	if err != nil {
		return nil, err
	}
	defer b.Close()
	var text memory
	to := board.Sink(&text)
	if keep != "" {
		log, err := board.Create(keep, false)
		if err != nil {
			return nil, err
		}
		defer log.Close()
		to = both{&text, log}
	}
	g := newGuide(cmd.ErrOrStderr(), *ask, true)
	err = s.record(cmd.Context(), b, to, g)
	g.end()
	summary(cmd.ErrOrStderr(), present.Clean(s.port), g)
	if keep != "" {
		fmt.Fprintf(cmd.ErrOrStderr(), "handspin: the recording is kept in %s\n", present.Clean(keep))
	}
	if err != nil {
		// What was read may well do: say what happened and go on.
		complain(cmd.ErrOrStderr(), err, hintOf(err))
	}
	rec, err := csvfile.Parse(text.Bytes(), s.port, csvfile.Options{})
	if err != nil {
		return nil, err
	}
	return ask.answer(rec)
}

// vacant returns an error where the file is there already or cannot be made;
// rank never overwrites.
func vacant(keep string) error {
	err := board.Vacant(keep)
	if e, ok := errors.AsType[*board.Error](err); ok {
		e.Hint = "take another name"
	}
	if err != nil {
		return err
	}
	return board.Writable(keep)
}
