package main

import (
	"errors"
	"fmt"
	"io"
	"runtime"
	"syscall"
)

// checkedWriter is the one way to the standard output. It remembers the first error, which
// printing with fmt does not tell, and main looks at it in the end.
type checkedWriter struct {
	io.Writer
	err error
}

func (w *checkedWriter) Write(text []byte) (int, error) {
	n, err := w.Writer.Write(text)
	if err != nil && w.err == nil {
		w.err = err
	}
	return n, err
}

// fault says that output is missing; nil where all was written, or where the reader, such as
// head, had enough.
func (w *checkedWriter) fault() error {
	if w.err == nil || readerGone(runtime.GOOS, w.err) {
		return nil
	}
	return fmt.Errorf("the output could not be written in full (%w); make room, or send it elsewhere", w.err)
}

// Error codes of Windows for a pipe that nobody reads, from its header winerror.h; exact.
const (
	windowsBrokenPipe syscall.Errno = 109
	windowsNoData     syscall.Errno = 232
)

// readerGone says whether a pipe was closed at its other end.
func readerGone(system string, err error) bool {
	var code syscall.Errno
	if system == "windows" && errors.As(err, &code) {
		return code == windowsBrokenPipe || code == windowsNoData
	}
	return errors.Is(err, syscall.EPIPE)
}

// closing is what the program ends with: the fault of a command, then that of its output,
// each told unless it is the same one.
func closing(err error, out *checkedWriter, say func(error)) int {
	if out.err != nil && errors.Is(err, out.err) {
		err = nil
	}
	if err != nil && !errors.Is(err, errFindings) {
		say(err)
	}
	if missing := out.fault(); missing != nil {
		say(missing)
		return exitOutput
	}
	return exitCode(err)
}
