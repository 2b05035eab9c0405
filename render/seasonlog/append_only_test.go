package seasonlog

import (
	"strings"
	"testing"
)

// The file itself refuses changes, whichever program makes them.
func TestTriggersRefuseChanges(t *testing.T) {
	log := newLog(t)
	collect(t, log, sample(1, 0), Added, 1)
	statements := []string{
		"INSERT OR REPLACE INTO workbook SELECT digest, x'00' FROM workbook",
		"INSERT OR REPLACE INTO document SELECT digest, x'00' FROM document",
		"INSERT OR REPLACE INTO revision SELECT * FROM revision",
		"INSERT OR REPLACE INTO reading SELECT * FROM reading",
		"INSERT OR REPLACE INTO finding SELECT * FROM finding",
		"INSERT INTO reading SELECT collected, 'more', position, printed, state, raw, number, unit, text, sheet, cell FROM reading LIMIT 1",
		"INSERT INTO finding SELECT collected, position + 1, level, code, sheet, cell, key, entry, raw, says, remedy FROM finding LIMIT 1",
	}
	for _, table := range []string{"workbook", "document", "revision", "reading", "finding"} {
		statements = append(statements, "DELETE FROM "+table)
	}
	for table, column := range map[string]string{"workbook": "content", "document": "content", "revision": "reason", "reading": "raw", "finding": "says"} {
		statements = append(statements, "UPDATE "+table+" SET "+column+" = "+column, "UPDATE OR REPLACE "+table+" SET "+column+" = "+column)
	}
	for _, s := range statements {
		if _, err := log.db.Exec(s); err == nil || !strings.Contains(err.Error(), "append-only") {
			t.Errorf("%s: got %v; want a refusal", s, err)
		}
		sound(t, log)
	}
}

// A revision number is never skipped, and a reading needs its revision.
func TestRefusesGapsAndStrays(t *testing.T) {
	log := newLog(t)
	collect(t, log, sample(1, 0), Added, 1)
	copyOf := "INSERT INTO revision (" + revisionColumns +
		") SELECT %, workbook, file_name, protocol, protocol_text, plan_text, site_text, sheet, stage, species," +
		" start_time, collected_at, program, 'reason', readings, findings, readings_digest, findings_digest, record_digest FROM revision"
	for _, identity := range []string{"3, batch, 2", "2, batch, 3", "2, 'SK-9', 2", "2, batch, 2"} { // the last one repeats the workbook
		if _, err := log.db.Exec(strings.Replace(copyOf, "%", identity, 1)); err == nil {
			t.Errorf("revision %s was taken", identity)
		}
	}
	stray := "INSERT INTO reading SELECT 7, key, position, printed, state, raw, number, unit, text, sheet, cell FROM reading LIMIT 1"
	if _, err := log.db.Exec(stray); err == nil {
		t.Error("a reading without a revision was taken")
	}
	sound(t, log)
}
