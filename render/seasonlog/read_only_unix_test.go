//go:build unix

package seasonlog

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// nobody is the user a test run by root becomes, for whom permissions count.
const nobody = 65534

// A log in a folder that may not be written can be read; collecting says what to do.
func TestReadOnlyFolder(t *testing.T) {
	log := newLog(t)
	collect(t, log, sample(1, 0), Added, 1)
	must(t, log.Close())
	folder := filepath.Dir(log.Path())
	must(t, os.Chmod(filepath.Dir(folder), 0o755)) // t.TempDir's parent is root's own
	must(t, os.Chmod(log.Path(), 0o666))
	must(t, os.Chmod(folder, 0o555))
	t.Cleanup(func() { _ = os.Chmod(folder, 0o755) })
	out, err := helper("read-only", log.Path(), 0, 0).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	must(t, os.Chmod(folder, 0o755))
	sound(t, reopen(t, log.Path()))
}

// helperReadOnly uses the log as someone who may not write its folder.
func helperReadOnly() {
	if os.Geteuid() == 0 {
		if err := syscall.Setuid(nobody); err != nil {
			fmt.Println("cannot become nobody:", err)
			os.Exit(1)
		}
	}
	if err := readOnlyUse(os.Getenv(helperLog)); err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
}

func readOnlyUse(path string) error {
	log, err := Open(path)
	if err != nil {
		return fmt.Errorf("open: %w", err)
	}
	defer log.Close()
	if _, err := log.Content("SK-26-00001", 0); err != nil {
		return fmt.Errorf("read: %w", err)
	}
	if outcome, _, err := log.Collect(sample(1, 0)); err != nil || outcome != Unchanged {
		return fmt.Errorf("collect the same: got %s, %w; want unchanged", outcome, err)
	}
	if _, _, err := log.Collect(sample(2, 0)); !errors.Is(err, ErrReadOnly) || !strings.Contains(err.Error(), "allow writing to the file and to its folder") {
		return fmt.Errorf("collect another: got %w; want ErrReadOnly with the remedy", err)
	}
	if err := Create(filepath.Join(filepath.Dir(path), "new.log")); !errors.Is(err, ErrReadOnly) {
		return fmt.Errorf("create: got %w; want ErrReadOnly", err)
	}
	return nil
}
