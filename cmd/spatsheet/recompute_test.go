package main

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// TestAnotherProgramAgrees prints the demo's sheets and has a script that shares nothing
// with spatsheet recompute every amount from the text of the page.
func TestAnotherProgramAgrees(t *testing.T) {
	for _, tool := range []string{"pdftotext", "python3"} {
		if _, err := exec.LookPath(tool); err != nil {
			if os.Getenv("CI") != "" {
				t.Fatal(err)
			}
			t.Skip(err)
		}
	}
	folder := filepath.Join(t.TempDir(), "season")
	if code := run([]string{"spatsheet", "demo", folder}, io.Discard, os.Stderr, func() time.Time { return time.Unix(0, 0).UTC() }); code != exitGood {
		t.Fatalf("demo: exit code %d", code)
	}
	for _, b := range demoBatches {
		t.Run(b.code, func(t *testing.T) {
			text, err := exec.Command("pdftotext", "-raw", filepath.Join(folder, sheetsFolder, b.code+".pdf"), "-").Output()
			if err != nil {
				t.Fatal(err)
			}
			out, err := recompute(text)
			if err != nil || !strings.Contains(out, ", 0 disagree") {
				t.Errorf("%v\n%s", err, out)
			}
			// The script must be able to disagree: one printed amount changed.
			wrong := regexp.MustCompile(`(exact )([1-9])`).ReplaceAll(text, []byte("${1}7${2}"))
			if out, err := recompute(wrong); err == nil {
				t.Errorf("a changed page still agrees:\n%s", out)
			}
		})
	}
}

func recompute(text []byte) (string, error) {
	c := exec.Command("python3", "../../testdata/independent/recompute.py")
	c.Stdin = bytes.NewReader(text)
	out, err := c.CombinedOutput()
	return string(out), err
}
