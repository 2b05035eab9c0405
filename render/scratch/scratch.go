// Package scratch gives tests a folder where the season log's many syncs cost nothing: what
// they hold is what is written and in which order, not how patient the disk is. Nothing but
// tests may import it.
package scratch

import (
	"os"
	"testing"
)

// Folder makes a folder for a test and takes it away again: in memory where the system has
// room for it there, else where t.TempDir makes one. No program may be started from it.
func Folder(t testing.TB) string {
	t.Helper()
	root := memory()
	if root == "" {
		return t.TempDir()
	}
	folder, err := os.MkdirTemp(root, "spatsheet")
	if err != nil {
		return t.TempDir()
	}
	t.Cleanup(func() {
		if err := os.RemoveAll(folder); err != nil {
			t.Error(err)
		}
	})
	return folder
}
