package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"time"

	"github.com/alecthomas/kong"

	"onevisit/cmd/onevisit/internal/screen"
	"onevisit/services/host"
)

// Exit codes.
const (
	done    = 0
	failed  = 1 // refused, or something broke
	misused = 2 // called wrongly
)

// usageError is an error about how a command was called.
type usageError struct{ error }

// usage builds a [usageError].
func usage(format string, args ...any) error { return usageError{fmt.Errorf(format, args...)} }

// errFound ends a command whose answer has been printed and is bad news, such
// as problems in an expert's files.
var errFound = errors.New("found")

// cli is the grammar of the command line.
type cli struct {
	Demo      demoCmd      `cmd:"" help:"Show the main job on an invented day: calls, prices, who goes, the parts list, the board."`
	Assess    assessCmd    `cmd:"" help:"Say what is likely wrong from a caller's words, and what to ask and carry."`
	Fit       fitCmd       `cmd:"" help:"Say whether one part may replace another, and why."`
	Quote     quoteCmd     `cmd:"" help:"Price a repair from a caller's words."`
	Book      bookCmd      `cmd:"" help:"Book a job: choose who goes, reserve the part, say why not the others."`
	Job       jobCmd       `cmd:"" help:"Read and move jobs."`
	Fleet     fleetCmd     `cmd:"" help:"Read and set up technicians, vans and warehouses."`
	Knowledge knowledgeCmd `cmd:"" help:"Check, show or copy what is known about faults."`
	Evaluate  evaluateCmd  `cmd:"" help:"Measure triage, part rules or dispatch on a file of cases."`
	Bench     benchCmd     `cmd:"" help:"Measure how fast it is on this machine."`
	Serve     serveCmd     `cmd:"" help:"Serve one role or all of them over gRPC."`
}

// app is what a command may touch of the world.
type app struct {
	ctx            context.Context
	stdin          io.Reader
	stdout, stderr io.Writer
	getenv         func(string) string
	now            func() time.Time
	requestID      string
	server         string // where the calls went; for messages
}

func main() {
	// After the first signal the default comes back: the second ends at once.
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop)
	code := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr, os.Getenv)
	stop()
	os.Exit(code)
}

// run is the program: it carries out the command of args and returns the exit
// code.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer, getenv func(string) string) int {
	id := host.NewRequestID()
	a := &app{
		ctx: host.WithRequestID(ctx, id), stdin: stdin, stdout: stdout, stderr: stderr,
		getenv: getenv, now: time.Now, requestID: id,
	}
	return a.run(args)
}

// asked is what the parser panics with when --help has been printed.
type asked int

func (a *app) run(args []string) (code int) {
	defer func() {
		switch p := recover().(type) {
		case nil:
		case asked:
			code = int(p)
		default:
			panic(p)
		}
	}()
	parser, err := kong.New(&cli{},
		kong.Name("onevisit"),
		kong.Description("From a customer's words to the likely fault, the right part, a price, and the technician who can finish the job in one visit."),
		kong.Writers(a.stdout, a.stderr),
		kong.Exit(func(code int) { panic(asked(code)) }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, FlagsLast: true, NoExpandSubcommands: true}),
		kong.ExplicitGroups([]kong.Group{
			{Key: "where", Title: "Where it is asked:"},
			{Key: "what", Title: "The appliance and what is known:"},
		}),
		kong.Bind(a),
	)
	if err != nil { // the grammar is wrong: a defect, met by every test
		return a.fail(err)
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	command, err := parser.Parse(args)
	if err != nil {
		hint := "onevisit --help"
		var parse *kong.ParseError
		if errors.As(err, &parse) && parse.Context != nil && parse.Context.Command() != "" {
			hint = "onevisit " + bare(parse.Context.Command()) + " --help"
		}
		fmt.Fprintf(a.stderr, "onevisit: %v; see %s\n", err, hint)
		return misused
	}
	return a.fail(command.Run())
}

// bare is a command's path without its arguments: "job show <name>" is "job show".
func bare(path string) string {
	path, _, _ = strings.Cut(path, " <")
	return strings.TrimSpace(path)
}

// fail says what went wrong, on standard error, and returns the exit code.
func (a *app) fail(err error) int {
	var wrongly usageError
	switch {
	case err == nil:
		return done
	case errors.Is(err, errFound):
		return failed
	case errors.As(err, &wrongly):
		fmt.Fprintln(a.stderr, "onevisit: "+err.Error())
		return misused
	}
	for _, line := range screen.Say(err, a.server, a.requestID) {
		fmt.Fprintln(a.stderr, "onevisit: "+line)
	}
	return failed
}
