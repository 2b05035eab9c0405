package labels

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"spatsheet/calc"
	"spatsheet/calc/fixture"
)

// plans are batches at the invented station of the site template.
var plans = map[string]fixture.Plan{
	"spawning": fixture.PlanOf("limpet-spawning@1.0.0").With("batch", "KS-26-01").With("start", `"18:00"`).
		With("settings", "{females: 18, males: 12, eggs_expected: 2.4e6, spat_wanted: 60000}"),
	"seeding": fixture.PlanOf("plate-seeding@1.0.0").With("batch", "KS-26-P1").With("species", "Patella aspera").
		With("date", "2026-01-19").With("start", `"10:00"`).
		With("settings", "{plates_wanted: 220, cells_on_hand: 1.063e11 cells, culture_density: 1090550 cells/mL}"),
	"gonads": fixture.PlanOf("gonad-check@1.0.0").With("batch", "KS-26-G1").With("species", "Patella aspera").
		With("date", "2026-01-23").With("start", `"10:00"`).
		With("settings", "{kills_left: 30 animals, stock: 100 animals, ripe_egg_diameter: 150 µm}"),
}

type fataler interface {
	Helper()
	Fatal(...any)
}

// scaled scales one of the plans.
func scaled(t testing.TB, name string) *calc.Sheet {
	t.Helper()
	return fixture.ShippedSheet(t, plans[name])
}

func printPDF(t *testing.T, sheet *calc.Sheet, stock calc.LabelStock, start int) ([]byte, Printed) {
	t.Helper()
	var out bytes.Buffer
	printed, err := Write(&out, sheet, stock, start)
	if err != nil {
		t.Fatal(err)
	}
	return out.Bytes(), printed
}

// tool finds a program the tests look at PDFs with: its absence fails where CI is set.
func tool(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err == nil {
		return path
	}
	if os.Getenv("CI") != "" {
		t.Fatalf("%s is missing; install it (Debian: poppler-utils, zbar-tools)", name)
	}
	t.Skipf("%s is not installed: this test did not run", name)
	return ""
}

func saved(t *testing.T, pdf []byte) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "labels.pdf")
	if err := os.WriteFile(name, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

func call(t *testing.T, name string, arguments ...string) string {
	t.Helper()
	var out, talk bytes.Buffer
	cmd := exec.Command(name, arguments...)
	cmd.Stdout, cmd.Stderr = &out, &talk
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s %v: %v\n%s%s", name, arguments, err, &out, &talk)
	}
	return out.String()
}
