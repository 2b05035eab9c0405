package main

import (
	"bytes"
	"io"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// fullAfter takes so many bytes and then fails as a full disk or a closed pipe does.
type fullAfter struct {
	left int
	err  error
}

func (w *fullAfter) Write(text []byte) (int, error) {
	if len(text) > w.left {
		n := w.left
		w.left = 0
		return n, w.err
	}
	w.left -= len(text)
	return len(text), nil
}

// TestFullOutput: a command whose output is lost, at once or after a while, says so and ends
// with a code of its own; one whose reader had enough says nothing.
func TestFullOutput(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "demo")
	var talk bytes.Buffer
	if code := run([]string{"spatsheet", "demo", folder}, io.Discard, &talk, time.Now); code != exitGood {
		t.Fatalf("demo ends with %d: %s", code, talk.String())
	}
	for _, line := range []string{
		"--help", "bench --help", "bench total --of eggs --counts 112,98,121 --subsample 1mL --vessel 20L",
		"protocols", "protocols schema", "protocols schema --functions", "protocols show limpet-spawning", "completion bash", "man",
		"check --json --folder FOLDER", "collect --folder FOLDER", "season --folder FOLDER --replace", "print --folder FOLDER --all --replace",
		"calendar --json --folder FOLDER --spawn 2030-03-14 --species Patella --replace", "lineage --json --folder FOLDER",
	} {
		args := strings.Fields("spatsheet " + strings.ReplaceAll(line, "FOLDER", folder))
		for _, room := range []int{0, 10} {
			var talk bytes.Buffer
			code := run(args, &fullAfter{room, syscall.ENOSPC}, &talk, time.Now)
			if code != exitOutput || strings.Count(talk.String(), "the output could not be written in full (no space left on device)") != 1 {
				t.Errorf("%s, with room for %d bytes, ends with %d: %s", line, room, code, talk.String())
			}
		}
	}
	talk.Reset()
	if code := run([]string{"spatsheet", "protocols", "schema"}, &fullAfter{10, syscall.EPIPE}, &talk, time.Now); code != exitGood || talk.Len() > 0 {
		t.Errorf("with a closed pipe: %d, %s", code, talk.String())
	}
}
