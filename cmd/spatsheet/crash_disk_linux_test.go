package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"spatsheet/cmd/station"
)

// TestDiskFull collects on a disk that is full after more and more kilobytes: refused with
// the remedy, the log sound, and whole once there is room. A small disk of memory is used
// where the test may mount one (as root), and a limit on the size of files as well.
func TestDiskFull(t *testing.T) {
	s, err := crashSeason()
	if err != nil {
		t.Fatal(err)
	}
	tries := wanted(t, "FULL_DISKS", 4)
	for try := range tries {
		size := len(s.once) * (2*try + 1) / (2 * tries) // bytes of room for the log, from none to nearly all
		t.Run("limit on file size/"+strconv.Itoa(size>>10)+" kB", func(t *testing.T) {
			_, folder := laid(t, nil)
			// SQLite takes what a limit says for a disk fault, since only a full disk says it is full.
			fillUp(t, s, folder, []string{"prlimit", "--fsize=" + strconv.Itoa(size)}, "make room", "has room")
		})
		t.Run("small disk/"+strconv.Itoa(size>>10)+" kB", func(t *testing.T) {
			disk := t.TempDir()
			if err := syscall.Mount("tmpfs", disk, "tmpfs", 0, "size="+strconv.Itoa(size+40<<10)); err != nil {
				t.Skipf("mounting a small disk is not permitted here: %v", err)
			}
			t.Cleanup(func() { _ = syscall.Unmount(disk, 0) })
			_, folder := laid(t, nil)
			onDisk := filepath.Join(disk, station.LogFile)
			if said, code := spatsheet("start", filepath.Join(disk, "empty")); code != exitGood {
				t.Skipf("too small to start on: %s", said)
			}
			if err := os.Rename(filepath.Join(disk, "empty", station.LogFile), onDisk); err != nil {
				t.Fatal(err)
			}
			if err := os.Remove(filepath.Join(folder, station.LogFile)); err != nil {
				t.Fatal(err)
			}
			if err := os.Symlink(onDisk, filepath.Join(folder, station.LogFile)); err != nil {
				t.Fatal(err)
			}
			fillUp(t, s, folder, nil, "make room")
		})
	}
}

// fillUp collects with too little room, then wants a sound log, and after more room (on the
// disk of the test folder) the log that nothing happened to.
func fillUp(t *testing.T, s *filledSeason, folder string, before []string, remedies ...string) {
	t.Helper()
	log := filepath.Join(folder, station.LogFile)
	arguments := s.phases()[0].arguments(folder)
	line := append(append(before, "spatsheet"), arguments...)
	out, err := exec.Command(line[0], line[1:]...).CombinedOutput()
	said := string(out)
	if code := codeOf(err); code != exitLog {
		t.Errorf("exit code %d, want %d: %s", code, exitLog, said)
	}
	told := false
	for _, remedy := range remedies {
		told = told || strings.Contains(said, remedy)
	}
	if !told {
		t.Errorf("no remedy (%s) in: %s", strings.Join(remedies, ", "), said)
	}
	part := historyOf(t, log, said)
	if len(part) == crashBatches {
		t.Errorf("everything was stored; there was too much room")
	}
	whole, err := os.ReadFile(log) // through the link: to the large disk
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(log); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(log, whole, 0o644); err != nil {
		t.Fatal(err)
	}
	if said, code := spatsheet(arguments...); code != exitGood {
		t.Fatalf("collecting again with room: exit code %d: %s", code, said)
	}
	sameLog(t, historyOf(t, log), historyIn(t, s.once))
	t.Logf("%d of %d workbooks were stored before the disk was full", len(part), crashBatches)
}

// TestReadOnlySeasonFolder collects, as a user who may not write there, into a folder and
// into a log that are read-only: told with the remedy, nothing changed, and reading works.
func TestReadOnlySeasonFolder(t *testing.T) {
	for _, what := range []string{"folder", "log"} {
		t.Run(what, func(t *testing.T) {
			s, folder := laid(t, nil)
			log := filepath.Join(folder, station.LogFile)
			if err := os.WriteFile(log, s.once, 0o666); err != nil {
				t.Fatal(err)
			}
			openTo(t, folder)
			if what == "folder" {
				readOnly(t, folder, 0o555)
			} else {
				readOnly(t, log, 0o444)
			}
			said, code := asNobody(t, s.phases()[1].arguments(folder)...)
			if code != exitLog || !strings.Contains(said, "allow writing to the file and to its folder") {
				t.Errorf("exit code %d, want %d with the remedy: %s", code, exitLog, said)
			}
			if got := len(acknowledged(said)); got != 0 {
				t.Errorf("%d workbooks were acknowledged: %s", got, said)
			}
			if said, code := asNobody(t, "season", "-f", folder, "--verify"); code != exitGood {
				t.Errorf("--verify: exit code %d: %s", code, said)
			}
			sameLog(t, historyOf(t, log), historyIn(t, s.once))
		})
	}
}

// openTo lets everybody into the folders above a place, up to the one that everybody may
// make files in.
func openTo(t *testing.T, place string) {
	t.Helper()
	for at := place; at != filepath.Dir(at); at = filepath.Dir(at) {
		if info, err := os.Stat(at); err != nil || info.Mode()&os.ModeSticky != 0 {
			return
		}
		if err := os.Chmod(at, 0o777); err != nil {
			t.Fatal(err)
		}
	}
}

func readOnly(t *testing.T, name string, mode os.FileMode) {
	t.Helper()
	if err := os.Chmod(name, mode); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.Chmod(name, 0o777) })
}

// asNobody runs the program as a user for whom permissions count; root becomes nobody.
func asNobody(t *testing.T, arguments ...string) (said string, code int) {
	t.Helper()
	program, err := exec.LookPath("spatsheet")
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(program, arguments...)
	if os.Geteuid() == 0 {
		openTo(t, filepath.Dir(program))
		c.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	}
	out, err := c.CombinedOutput()
	return string(out), codeOf(err)
}
