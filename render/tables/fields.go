package tables

// Field says what a column holds, for whoever reads the CSV files without this program.
type Field struct {
	Name      string
	Type      string // of Table Schema: string, number, integer, date, datetime
	Format    string // of a datetime, as strptime
	Unit      string // of a number with one unit; "1" for a share or a plain number
	UnitField string // the column of the same row that names the unit
	Says      string
	Empty     string   // what an empty cell means; empty: there is none
	Words     []string // all that may stand there
	Term      string   // of Darwin Core, where one means the same
}

// darwinCore is the namespace of the terms. The terms for measurements were read as of
// their version of 2023-06-28 (tdwg/dwc, term changes); the others are from memory. No
// term means a survival or a count in and out, so those have none.
const darwinCore, darwinCoreVersion = "http://rs.tdwg.org/dwc/terms/", "2023-06-28"

// Fields which several tables have.
var (
	batchField    = Field{Name: "batch", Type: "string", Says: "batch code", Term: "eventID"}
	protocolField = Field{Name: "protocol", Type: "string", Says: "protocol as id@version", Term: "samplingProtocol"}
	speciesField  = Field{Name: "species", Type: "string", Says: "species, genus first", Term: "scientificName"}
	revisionField = Field{Name: "revision", Type: "integer", Unit: "1", Says: "number of the workbook that counts, from 1: the latest collected"}
	dayField      = Field{Name: "start", Type: "date", Says: "day the batch started, on the site's clock", Term: "eventDate"}
	stageField    = Field{Name: "stage", Type: "string", Says: "id of the stage in its protocol"}
	labelField    = Field{Name: "label", Type: "string", Says: "name of the stage"}
	unitInField   = Field{Name: "unit_in", Type: "string", Says: "what is counted in"}
	unitOutField  = Field{Name: "unit_out", Type: "string", Says: "what is counted out"}
	levelField    = Field{Name: "level", Type: "string", Says: "how bad it is", Words: []string{"error", "warning", "note"}}
	codeField     = Field{Name: "code", Type: "string", Says: "kind of finding, a stable word"}
	saysField     = Field{Name: "says", Type: "string", Says: "what is wrong"}
	remedyField   = Field{Name: "remedy", Type: "string", Says: "what to do about it"}
	sheetField    = Field{Name: "sheet", Type: "string", Says: "sheet of the workbook", Empty: "not at one cell"}
	cellField     = Field{Name: "cell", Type: "string", Says: "cell of the workbook", Empty: "not at one cell"}
)

// fields says what each column of each table is, in order.
var fields = map[string][]Field{
	"batches": {batchField, protocolField, speciesField,
		{Name: "start", Type: "datetime", Format: "%Y-%m-%dT%H:%M", Says: "start on the site's clock, no time zone", Term: "eventDate"},
		{Name: "site", Type: "string", Says: "hatchery", Term: "locality"},
		{Name: "digest", Type: "string", Says: "printed on the sheet: of protocol, site and plan"}, revisionField,
		{Name: "readings_given", Type: "integer", Unit: "1", Says: "boxes with a reading"},
		{Name: "boxes", Type: "integer", Unit: "1", Says: "boxes of the sheet"},
		{Name: "errors", Type: "integer", Unit: "1", Says: "findings at error level"},
		{Name: "warnings", Type: "integer", Unit: "1", Says: "findings at warning level"},
		{Name: "parents", Type: "string", Says: "batches it was planned from, with a blank between, in the plan's order", Empty: "planned from no other batch"}},
	"stages": {batchField, protocolField, speciesField, dayField, stageField, labelField,
		{Name: "count_in", Type: "number", UnitField: "unit_in", Says: "count into the stage", Empty: "no count: see note"}, unitInField,
		{Name: "count_out", Type: "number", UnitField: "unit_out", Says: "count out of the stage", Empty: "no count: see note"}, unitOutField,
		{Name: "survival", Type: "number", Unit: "1", Says: "count out divided by count in", Empty: "cannot be told: see note"},
		{Name: "note", Type: "string", Says: "why a number is missing, or looks wrong", Empty: "nothing to say", Term: "eventRemarks"},
		{Name: "in_from", Type: "string", Says: "how count_in is worked out, from readings and planned"},
		{Name: "out_from", Type: "string", Says: "how count_out is worked out, from readings and planned"}},
	"survival": {protocolField, speciesField, stageField, labelField,
		{Name: "batches", Type: "integer", Unit: "1", Says: "batches pooled"},
		{Name: "count_in", Type: "number", UnitField: "unit_in", Says: "all counts into the stage"}, unitInField,
		{Name: "count_out", Type: "number", UnitField: "unit_out", Says: "all counts out of the stage"}, unitOutField,
		{Name: "survival", Type: "number", Unit: "1", Says: "all out divided by all in, stages with a note left out"}},
	"readings": {batchField, protocolField, revisionField,
		{Name: "step", Type: "integer", Unit: "1", Says: "number of the step, from 1", Empty: "not of a step"},
		{Name: "key", Type: "string", Says: "name of the box, stable within a protocol's version", Term: "measurementID"},
		{Name: "entry", Type: "string", Says: "name of the box as printed", Term: "measurementType"},
		{Name: "state", Type: "string", Says: "what stands in the box", Words: []string{"given", "blank", "not done", "unreadable"}},
		{Name: "value", Type: "number", UnitField: "unit", Says: "the number read", Empty: "no number: see state and text", Term: "measurementValue"},
		{Name: "unit", Type: "string", Says: "unit of value", Empty: "a plain number, or not a number", Term: "measurementUnit"},
		{Name: "text", Type: "string", Says: "the word, date or time read; dates and times in ISO 8601, on the site's clock", Empty: "a number, or nothing"},
		{Name: "raw", Type: "string", Says: "what stood in the cell, letter for letter", Empty: "the cell was empty", Term: "measurementRemarks"},
		sheetField, cellField},
	"planned": {batchField, protocolField,
		{Name: "kind", Type: "string", Says: "setting or amount", Words: []string{"setting", "amount"}},
		{Name: "id", Type: "string", Says: "name in the protocol's formulas"},
		{Name: "label", Type: "string", Says: "name as printed"},
		{Name: "value", Type: "number", UnitField: "unit", Says: "the setting's value, or the amount as rounded"},
		{Name: "unit", Type: "string", Says: "unit of value", Empty: "a plain number"},
		{Name: "from", Type: "string", Says: "who gave a setting; the formula of an amount"}},
	"hands_over": {batchField, protocolField, speciesField,
		{Name: "id", Type: "string", Says: "id of what is handed over in its protocol"},
		{Name: "label", Type: "string", Says: "name of what is handed over"},
		{Name: "value", Type: "number", UnitField: "unit", Says: "how much the batch leaves for others", Empty: "a reading is missing"},
		{Name: "unit", Type: "string", Says: "unit of value", Empty: "a plain number"},
		{Name: "from", Type: "string", Says: "how value is worked out, from readings and planned"}},
	"findings": {batchField, revisionField, levelField, codeField,
		{Name: "entry", Type: "string", Says: "name of the box as printed", Empty: "not at one box"},
		{Name: "raw", Type: "string", Says: "what stood in the cell", Empty: "the cell was empty, or it is not at one"},
		saysField, remedyField, sheetField, cellField},
	"season_findings": {batchField, levelField, codeField, saysField, remedyField},
	"corrections": {batchField,
		{Name: "revision", Type: "integer", Unit: "1", Says: "number of the workbook that changed it, from 2"},
		{Name: "collected", Type: "datetime", Format: "%Y-%m-%dT%H:%M", Says: "when it was collected, UTC"},
		{Name: "reason", Type: "string", Says: "why it was collected again", Empty: "not said"},
		{Name: "entry", Type: "string", Says: "name of the box as printed", Empty: "no box was changed"},
		{Name: "was", Type: "string", Says: "what stood there in the revision before, letter for letter; blank: nothing", Empty: "no box was changed"},
		{Name: "now", Type: "string", Says: "what stands there now, letter for letter; blank: nothing", Empty: "no box was changed"}},
}

// keys are the columns that name a row.
var keys = map[string][]string{"batches": {"batch"}, "stages": {"batch", "stage"},
	"survival": {"protocol", "species", "stage"}, "readings": {"batch", "key"}, "planned": {"batch", "id"}, "hands_over": {"batch", "id"}}
