package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"handspin/capture"
	"handspin/capture/board"
	"handspin/capture/line"
)

var errNoPort = errors.New("there is no serial port")

// session is a recording being made with a capture board.
type session struct {
	port      string
	safe      bool
	reference *value[string]
	divider   value[float64]
	// leads are written to the recording.
	leads capture.Leads
	// said is the board's own divider.
	said float64
}

func (s *session) flags() *pflag.FlagSet {
	flags := newSet()
	s.reference = choice("REFERENCE", "supply", "internal")
	s.divider = value[float64]{kind: "RATIO", parse: parseDivider}
	flags.StringVar(&s.port, "port", "", "record with the capture board at `PORT`, one of those that handspin ports lists")
	flags.BoolVar(&s.safe, "safe", false, "half the bits and a third of the rows per second, for cables and hosts that lose some")
	flags.Var(s.reference, "reference", "what the board measures against: its supply, or internal for 1.1 V and small voltages")
	flags.Var(&s.divider, "divider", "by how much the dividers at the phase inputs divide, if not by 11")
	return flags
}

// errTold stands for an error that has been printed.
var errTold = errors.New("told already")

// check refuses flags that do not go together; file is the flag that names the
// recording.
func (s *session) check(cmd *cobra.Command, args []string, file string) error {
	for _, name := range []string{"port", file} {
		if f := cmd.Flags().Lookup(name); f.Changed && f.Value.String() == "" {
			return fmt.Errorf("--%s is empty", name)
		}
	}
	if s.port != "" {
		if len(args) > 0 {
			return fmt.Errorf("give either --port or a FILE such as %q: with --port the recording is made now", args[0])
		}
		return nil
	}
	for _, name := range []string{file, "safe", "reference", "divider"} {
		if cmd.Flags().Changed(name) && cmd.Name() == "rank" {
			return fmt.Errorf("--%s is about a recording that is made now: it needs --port", name)
		}
	}
	return nil
}

// complete offers the ports to the shell.
func (s *session) complete(cmd *cobra.Command) {
	cmd.RegisterFlagCompletionFunc("port", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		ports, err := board.Ports()
		if err != nil {
			return nil, cobra.ShellCompDirectiveError
		}
		return ports, cobra.ShellCompDirectiveNoFileComp
	})
}

func parseDivider(text string) (float64, error) {
	x, err := parseNumber(text)
	if err == nil && (x < 1 || x > 1000) {
		err = fmt.Errorf("%q is not from 1 to 1000", text)
	}
	return x, err
}

// open finds the board and sets it up.
func (s *session) open(ctx context.Context) (*board.Board, error) {
	b, err := s.prepare(ctx)
	if errors.Is(err, context.Canceled) {
		err = errors.New("interrupted before the board was found")
	}
	return b, err
}

func (s *session) prepare(ctx context.Context) (*board.Board, error) {
	b, err := board.Open(ctx, s.port)
	if err != nil {
		return nil, err
	}
	want := board.Settings{Mode: "fast", Reference: s.reference.got}
	if s.safe {
		want.Mode = "safe"
	}
	// The recording begins with the header that the last answer brings.
	if err := b.Set(ctx, want, func(board.Line) {}); err != nil {
		b.Close()
		return nil, err
	}
	return b, nil
}

// record records until the context ends, watch says that it is enough, or
// something fails.
func (s *session) record(ctx context.Context, b *board.Board, to board.Sink, g *guide) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	if b.Headerless() {
		fmt.Fprintf(g.out, "handspin: the board sends no header: its rows are read as %s\n", line.Names)
	}
	g.begin()
	return board.Record(ctx, b, to, func(l *board.Line) {
		s.amend(l)
		g.take(l)
		if g.finished() {
			stop()
		}
	})
}

// amend puts into the header what the person said.
func (s *session) amend(l *board.Line) {
	if l.Kind != board.Header {
		return
	}
	switch l.Key {
	case "handspin-capture":
		if leads := s.leads.String(); leads != "" {
			l.Text = append(bytes.Clone(l.Text), "\n# leads: "+leads...)
		}
	case "divider":
		s.said, _ = strconv.ParseFloat(l.Value, 64)
		if s.divider.got > 0 {
			l.Text = fmt.Appendf(nil, "# divider: %g", s.divider.got)
		}
	case "volts_per_count":
		volts, err := strconv.ParseFloat(l.Value, 64)
		if err == nil && s.divider.got > 0 && s.said > 0 {
			l.Text = fmt.Appendf(nil, "# volts_per_count: %.6f", volts*s.divider.got/s.said)
		}
	}
}

// memory is a recording that is kept in memory.
type memory struct{ bytes.Buffer }

func (m *memory) Line(text []byte) {
	m.Write(text)
	m.WriteByte('\n')
}

func (m *memory) Flush() error { return nil }

// both writes to two sinks.
type both [2]board.Sink

func (b both) Line(text []byte) {
	b[0].Line(text)
	b[1].Line(text)
}

func (b both) Flush() error { return errors.Join(b[0].Flush(), b[1].Flush()) }

// summary says what was recorded.
func summary(w io.Writer, name string, g *guide) {
	t := &g.tally
	fmt.Fprintf(w, "handspin: %s: %.1f s, %d sets and %d edges\n", name, g.seconds(), t.Sets, t.Edges)
	fmt.Fprintf(w, "handspin: lost %d, damaged %d, gaps %d (%.1f s), board restarted %s\n",
		t.Lost(), t.Damaged, t.Gaps, float64(t.GapUS)/1e6, times(t.Restarts))
}

func times(n int) string {
	switch n {
	case 0:
		return "never"
	case 1:
		return "once"
	}
	return strconv.Itoa(n) + " times"
}
