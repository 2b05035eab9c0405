package seasonlog

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// Every system call by which a collect changes the disk is hit once by a kill, once by a
// full disk and once by a disk fault. Each time the log must be sound and hold the
// workbook whole or not at all, an acknowledged one always, and collecting it again must
// work. Needs strace and half a minute: run with SEASONLOG_STRACE=1.
func TestEverySystemCallMayFail(t *testing.T) {
	if os.Getenv("SEASONLOG_STRACE") == "" {
		t.Skip("slow, needs strace: set SEASONLOG_STRACE=1")
	}
	log := newLog(t)
	collect(t, log, sample(0, 0), Added, 1)
	must(t, log.Close())
	before, err := os.ReadFile(log.Path())
	must(t, err)
	for _, fault := range []string{"signal=KILL", "error=ENOSPC", "error=EIO"} {
		for _, call := range []string{"pwrite64", "fsync", "unlink"} {
			number := 1
			for hit(t, before, call, fault, number) {
				number++
			}
			t.Logf("%s: hit %d calls of %s", fault, number-1, call)
			if number == 1 {
				t.Errorf("%s never met %s", fault, call)
			}
		}
	}
}

// hit collects with a fault in call number `number` and tells whether the fault came.
func hit(t *testing.T, before []byte, call, fault string, number int) bool {
	t.Helper()
	path := filepath.Join(t.TempDir(), "log")
	must(t, os.WriteFile(path, before, 0o644))
	trace := path + ".trace"
	c := exec.Command("strace", "-f", "-o", trace, "-e", "trace="+call, "-e", fmt.Sprintf("inject=%s:%s:when=%d", call, fault, number), os.Args[0])
	c.Env = helper("collect", path, 1, 2).Env
	var said, complaint bytes.Buffer
	c.Stdout, c.Stderr = &said, &complaint
	failed := c.Run() != nil
	calls, err := os.ReadFile(trace)
	must(t, err)
	if !failed && !strings.Contains(string(calls), "INJECTED") {
		return false
	}
	place := fmt.Sprintf("%s in %s number %d", fault, call, number)
	acknowledged := said.String() == "1\n"
	if !acknowledged && fault != "signal=KILL" && !strings.Contains(complaint.String(), "collect again") {
		t.Errorf("%s: no remedy in %q", place, complaint.String())
	}
	log := reopen(t, path)
	sound(t, log)
	if stored := len(history(t, log)); stored > 2 || stored < 1 || acknowledged && stored != 2 {
		t.Errorf("%s: %d workbooks stored, acknowledged %v", place, stored, acknowledged)
	}
	if _, _, err := log.Collect(sample(1, 0)); err != nil {
		t.Errorf("%s: collecting again: %v", place, err)
	}
	sound(t, log)
	if stored := history(t, log); len(stored) != 2 {
		t.Errorf("%s: %d workbooks after collecting again; want 2", place, len(stored))
	}
	log.Close()
	return true
}
