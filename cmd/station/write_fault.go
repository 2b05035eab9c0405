package station

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"runtime"
	"slices"
	"syscall"
)

// Error codes of Windows, from its header winerror.h; exact.
const (
	WindowsAccessDenied     syscall.Errno = 5
	windowsSharingViolation syscall.Errno = 32
	windowsLockViolation    syscall.Errno = 33
	windowsHandleDiskFull   syscall.Errno = 39
	windowsDiskFull         syscall.Errno = 112
)

// WriteFault says why a file could not be written and what to do.
func WriteFault(name string, err error) error { return WriteFaultOn(runtime.GOOS, name, err) }

// WriteFaultOn is writeFault on a system by its name in Go.
func WriteFaultOn(system, name string, err error) error {
	switch {
	case heldOpen(system, err):
		return openElsewhere(name, err)
	case diskFull(system, err):
		return fmt.Errorf("%s: the disk is full; make room and try again (%w)", name, err)
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return fmt.Errorf("%s: this folder may not be written to; allow it, or work in a folder of your own (%w)", name, err)
	}
	return fmt.Errorf("%s: %w", name, err)
}

// ReadFault says why a file could not be read.
func ReadFault(name string, err error) error {
	if heldOpen(runtime.GOOS, err) {
		return openElsewhere(name, err)
	}
	return err
}

func openElsewhere(name string, err error) error {
	return fmt.Errorf("%s is open in another program; close it there and try again (%w)", name, err)
}

// heldOpen says whether another program has the file open. Windows alone refuses then: as a
// sharing violation, or, where a file is to be moved in the place of an open one, as denied
// access.
func heldOpen(system string, err error) bool {
	var code syscall.Errno
	if system != "windows" || !errors.As(err, &code) {
		return false
	}
	var move *os.LinkError
	return code == windowsSharingViolation || code == windowsLockViolation || code == WindowsAccessDenied && errors.As(err, &move)
}

// diskFull says whether there was no room.
func diskFull(system string, err error) bool {
	var code syscall.Errno
	if system == "windows" && errors.As(err, &code) {
		return slices.Contains([]syscall.Errno{windowsHandleDiskFull, windowsDiskFull}, code)
	}
	return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT)
}
