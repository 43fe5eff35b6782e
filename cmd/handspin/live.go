package main

import (
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
		if err := board.Vacant(keep); err != nil {
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
