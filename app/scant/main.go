// Command scant does Scantling's job without a window: it measures model files, finds the
// factor of a kit, and saves rescaled copies. It is the same engine, for scripts.
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
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// What the command exits with.
const (
	allDone    = 0
	someFailed = 1
	wrongUsage = 2
)

// A session is one call of the command.
type session struct {
	ctx    context.Context
	call   call
	out    io.Writer
	err    io.Writer
	failed bool
	beds   []bedded // how the parts fit the bed, in the order of the subject's; nil unless by bed
}

// run is the command without the process around it.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	c, err := parse(args)
	if err == nil {
		s := &session{ctx: ctx, call: c, out: stdout, err: stderr}
		if err = s.do(); err == nil && s.failed {
			return someFailed
		}
	}
	var usage *usageError
	switch {
	case err == nil:
		return allDone
	case errors.As(err, &usage):
		fmt.Fprintf(stderr, "scant: %s\n%s\n", usage.what, usage.hint())
		return wrongUsage
	}
	fmt.Fprintf(stderr, "scant: %s\n", sentence("", err))
	return someFailed
}

func (s *session) do() error {
	switch s.call.verb {
	case "measure":
		return s.measure()
	case "survey":
		return s.survey()
	case "factor":
		return s.factor()
	case "check":
		return s.check()
	case "ladder":
		return s.ladder()
	case "compare":
		return s.compare()
	case "beds":
		return s.layBeds()
	case "gauge":
		return s.gauge()
	case "figure":
		return s.figure()
	case "rescale":
		return s.rescale()
	case "record":
		return s.record()
	case "recover":
		return s.recover()
	case "ratios":
		return s.ratios()
	case "objects":
		return s.objects()
	case "printers":
		return s.printers()
	case "processes":
		return s.processes()
	}
	_, err := io.WriteString(s.out, help(s.call.topic))
	return err
}

// fail tells of a failure, with its file, and lets the rest go on.
func (s *session) fail(path string, err error) {
	s.failed = true
	fmt.Fprintf(s.err, "scant: %s\n", sentence(path, err))
}

// warn tells of what is no failure.
func (s *session) warn(what string) { fmt.Fprintf(s.err, "scant: %s\n", strings.TrimSpace(what)) }
