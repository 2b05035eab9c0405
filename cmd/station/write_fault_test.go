package station

import (
	"errors"
	"io/fs"
	"os"
	"strings"
	"syscall"
	"testing"
)

func TestWriteFaultSaysWhatToDo(t *testing.T) {
	move := func(code syscall.Errno) error { return &os.LinkError{Op: "rename", Old: "a", New: "b", Err: code} }
	for name, c := range map[string]struct {
		system string
		err    error
		says   string
	}{
		"moved over a workbook that Excel holds": {"windows", move(WindowsAccessDenied), "b.xlsx is open in another program; close it there and try again"},
		"sharing violation":                      {"windows", move(windowsSharingViolation), "is open in another program"},
		"sharing violation on opening":           {"windows", &fs.PathError{Op: "open", Path: "b", Err: windowsSharingViolation}, "is open in another program"},
		"locked":                                 {"windows", &fs.PathError{Op: "write", Path: "b", Err: windowsLockViolation}, "is open in another program"},
		"full disk on Windows":                   {"windows", &fs.PathError{Op: "write", Path: "b", Err: windowsDiskFull}, "the disk is full; make room"},
		"full disk":                              {"linux", &fs.PathError{Op: "write", Path: "b", Err: syscall.ENOSPC}, "the disk is full; make room"},
		"quota used up":                          {"linux", &fs.PathError{Op: "write", Path: "b", Err: syscall.EDQUOT}, "the disk is full; make room"},
		"folder of somebody else":                {"linux", &fs.PathError{Op: "open", Path: "b", Err: syscall.EACCES}, "this folder may not be written to; allow it"},
		"disk that cannot be written":            {"linux", &fs.PathError{Op: "open", Path: "b", Err: syscall.EROFS}, "this folder may not be written to"},
		"the same numbers elsewhere":             {"linux", move(windowsSharingViolation), "b.xlsx: rename a b: broken pipe"},
		"anything else":                          {"windows", errors.New("odd"), "b.xlsx: odd"},
	} {
		t.Run(name, func(t *testing.T) {
			got := WriteFaultOn(c.system, "b.xlsx", c.err)
			if !strings.Contains(got.Error(), c.says) {
				t.Errorf("%q does not say %q", got, c.says)
			}
			if !errors.Is(got, c.err) {
				t.Errorf("%q does not wrap its cause", got)
			}
		})
	}
}
