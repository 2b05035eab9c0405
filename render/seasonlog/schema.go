package seasonlog

import "fmt"

// Format is the version of the file format this program writes, kept in user_version.
// Format 1 came with spatsheet 0.1.0.
const Format = 1

// applicationID marks the file as a season log: "SpSL" in ASCII. Chosen by us.
const applicationID = 0x5370534C

// tables, in the order their rows are written: whatever a row points to comes first,
// except that readings and findings come before the revision that seals them.
const tables = `
CREATE TABLE workbook (               -- collected files, whole
  digest  TEXT NOT NULL PRIMARY KEY CHECK (length(digest) = 64),  -- SHA-256 of content, hex
  content BLOB NOT NULL CHECK (length(content) > 0)
) STRICT;

CREATE TABLE document (               -- protocol, plan and site texts, each once
  digest  TEXT NOT NULL PRIMARY KEY CHECK (length(digest) = 64),  -- SHA-256 of content, hex
  content BLOB NOT NULL CHECK (length(content) > 0)
) STRICT;

CREATE TABLE revision (               -- a collected workbook: revision N of a batch
  collected       INTEGER PRIMARY KEY,             -- order of collecting, from 1, no gaps
  batch           TEXT NOT NULL CHECK (batch <> ''),
  revision        INTEGER NOT NULL,                -- from 1 within the batch, no gaps
  workbook        TEXT NOT NULL UNIQUE REFERENCES workbook (digest),
  file_name       TEXT NOT NULL,                   -- as it was called when collected
  protocol        TEXT NOT NULL,                   -- id@version
  protocol_text   TEXT NOT NULL REFERENCES document (digest),
  plan_text       TEXT NOT NULL REFERENCES document (digest),
  site_text       TEXT NOT NULL REFERENCES document (digest),
  sheet           TEXT NOT NULL,                   -- short digest of protocol, plan and site
  stage           TEXT NOT NULL,
  species         TEXT NOT NULL,
  start_time      TEXT NOT NULL,                   -- clock time at the site, no zone
  collected_at    TEXT NOT NULL,                   -- with its offset from UTC
  program         TEXT NOT NULL,                   -- what read the workbook, with version
  reason          TEXT NOT NULL,
  readings        INTEGER NOT NULL CHECK (readings >= 1),
  findings        INTEGER NOT NULL CHECK (findings >= 0),
  readings_digest TEXT NOT NULL,
  findings_digest TEXT NOT NULL,
  record_digest   TEXT NOT NULL,                   -- over every column above
  UNIQUE (batch, revision),
  CHECK (revision = 1 OR reason <> '')
) STRICT;

CREATE TABLE reading (
  collected INTEGER NOT NULL REFERENCES revision (collected) DEFERRABLE INITIALLY DEFERRED,
  key       TEXT NOT NULL CHECK (key <> ''),
  position  INTEGER NOT NULL,                      -- printed order, from 1
  printed   TEXT NOT NULL,
  state     TEXT NOT NULL CHECK (state IN ('given', 'blank', 'not done', 'unreadable')),
  raw       TEXT NOT NULL,                         -- verbatim
  number    REAL,                                  -- NULL where there is no number
  unit      TEXT NOT NULL,
  text      TEXT NOT NULL,
  sheet     TEXT NOT NULL,
  cell      TEXT NOT NULL,
  PRIMARY KEY (collected, key)
) STRICT, WITHOUT ROWID;

CREATE TABLE finding (
  collected INTEGER NOT NULL REFERENCES revision (collected) DEFERRABLE INITIALLY DEFERRED,
  position  INTEGER NOT NULL,                      -- order of the check, from 1
  level     TEXT NOT NULL,
  code      TEXT NOT NULL,
  sheet     TEXT NOT NULL,
  cell      TEXT NOT NULL,
  key       TEXT NOT NULL,
  entry     TEXT NOT NULL,
  raw       TEXT NOT NULL,
  says      TEXT NOT NULL,
  remedy    TEXT NOT NULL,
  PRIMARY KEY (collected, position)
) STRICT, WITHOUT ROWID;

CREATE VIEW latest_reading AS         -- for people with other programs
  SELECT r.batch, r.revision, r.protocol, r.stage, r.species, r.start_time,
         g.key, g.printed, g.state, g.raw, g.number, g.unit, g.text, g.sheet, g.cell
  FROM revision r JOIN reading g USING (collected)
  WHERE r.revision = (SELECT max(revision) FROM revision WHERE batch = r.batch)
  ORDER BY r.batch, g.position;
`

// insertRules say, for each table, when a new row is refused. They run before INSERT OR
// REPLACE would delete the row in its way, which fires no delete trigger.
var insertRules = []struct{ table, refusedWhen, says string }{
	{"workbook", "EXISTS (SELECT 1 FROM workbook WHERE digest = NEW.digest)", "a stored workbook is never replaced"},
	{"document", "EXISTS (SELECT 1 FROM document WHERE digest = NEW.digest)", "a stored text is never replaced"},
	{"revision", "NEW.collected IS NOT (SELECT coalesce(max(collected), 0) + 1 FROM revision)" +
		" OR NEW.revision IS NOT (SELECT coalesce(max(revision), 0) + 1 FROM revision WHERE batch = NEW.batch)" +
		" OR EXISTS (SELECT 1 FROM revision WHERE workbook = NEW.workbook)", "a revision is the next one of its batch, of a new workbook"},
	{"reading", "EXISTS (SELECT 1 FROM revision WHERE collected = NEW.collected)" +
		" OR EXISTS (SELECT 1 FROM reading WHERE collected = NEW.collected AND key = NEW.key)", "a sealed revision takes no more readings"},
	{"finding", "EXISTS (SELECT 1 FROM revision WHERE collected = NEW.collected)" +
		" OR EXISTS (SELECT 1 FROM finding WHERE collected = NEW.collected AND position = NEW.position)", "a sealed revision takes no more findings"},
}

// schema lists the statements that make an empty log.
func schema() []string {
	statements := []string{
		fmt.Sprintf("PRAGMA application_id = %d", applicationID),
		fmt.Sprintf("PRAGMA user_version = %d", Format),
		tables,
	}
	for _, r := range insertRules {
		for _, change := range []string{"UPDATE", "DELETE"} {
			statements = append(statements, fmt.Sprintf(
				"CREATE TRIGGER %[1]s_no_%[2]s BEFORE %[2]s ON %[1]s BEGIN SELECT RAISE(ABORT, 'the season log is append-only: no %[2]s on %[1]s'); END",
				r.table, change))
		}
		statements = append(statements, fmt.Sprintf(
			"CREATE TRIGGER %[1]s_insert BEFORE INSERT ON %[1]s WHEN %[2]s BEGIN SELECT RAISE(ABORT, 'the season log is append-only: %[3]s'); END",
			r.table, r.refusedWhen, r.says))
	}
	return statements
}
