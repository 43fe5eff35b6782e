// Command proof measures how often handspin's answer is right, on random motors
// whose properties are known. It prints a table, or with -csv one row a motor.
//
//	go run ./cmd/proof -n 1000 -seed 1 -state proof.csv
//
// With -state what is done is kept in a file: started again with the same file
// it does what is left, and begins anew what a kill cut short.
//
// Exit status: 0 all figures reach their targets; 1 one falls short, or the work
// failed; 2 wrong usage.
package main

import (
	"context"
	"encoding/csv"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime"
	"time"

	"handspin/commutation/proof"
)

const (
	done   = 0
	failed = 1
	misuse = 2
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	status := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(status)
}

// options are the command line.
type options struct {
	n     int
	seed  uint64
	state string
	csv   bool
	jobs  int
	bound int
	// damaged has the recordings' texts damaged instead of the motors.
	damaged bool
	// longest is how long the work on one may take, in all: more is a hang.
	longest time.Duration
}

func parse(args []string, stderr io.Writer) (o options, err error) {
	flags := flag.NewFlagSet("proof", flag.ContinueOnError)
	flags.SetOutput(stderr)
	flags.IntVar(&o.n, "n", 200, "number of motors")
	flags.Uint64Var(&o.seed, "seed", 1, "seed of the first motor; the next ones follow")
	flags.StringVar(&o.state, "state", "", "file that keeps what is done")
	flags.BoolVar(&o.csv, "csv", false, "print one row a motor instead of the table")
	flags.IntVar(&o.jobs, "jobs", runtime.NumCPU(), "how many motors to work on at once")
	flags.IntVar(&o.bound, "bound", 2, "number of motors whose errors are compared with the Cramer-Rao bound, 0 for none")
	flags.BoolVar(&o.damaged, "damaged", false, "damage the texts of sound recordings instead, and count what becomes of them")
	flags.DurationVar(&o.longest, "longest", 5*time.Second, "how long the work on a damaged text may take")
	if err := flags.Parse(args); err != nil {
		return o, err
	}
	if flags.NArg() > 0 || o.n < 1 || o.jobs < 1 || o.bound < 0 {
		err = fmt.Errorf("wrong usage: want flags only, -n and -jobs of 1 or more, -bound of 0 or more")
		fmt.Fprintf(stderr, "proof: %v\n", err)
	}
	return o, err
}

// run is the whole command; it returns the exit status.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	o, err := parse(args, stderr)
	if err != nil {
		return misuse
	}
	if o.damaged {
		return runDamaged(ctx, o, stdout, stderr)
	}
	all, err := gather(ctx, o)
	if err == nil && o.csv {
		err = writeRows(stdout, all)
	}
	figures := proof.Sum(all)
	if err == nil && !o.csv {
		err = writeTable(stdout, o, figures)
	}
	short := figures.Shortfalls()
	if err == nil && !o.csv && o.bound > 0 {
		var over []string
		over, err = writeBound(stdout, o)
		short = append(short, over...)
	}
	if err != nil {
		fmt.Fprintf(stderr, "proof: %v\n", err)
		return failed
	}
	for _, s := range short {
		fmt.Fprintf(stderr, "proof: %s\n", s)
	}
	if len(short) > 0 {
		return failed
	}
	return done
}

func writeRows(w io.Writer, all []proof.Outcome) error {
	out := csv.NewWriter(w)
	if err := out.Write(proof.Columns); err != nil {
		return err
	}
	for _, o := range all {
		if err := out.Write(o.Row()); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}
