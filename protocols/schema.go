package protocols

import _ "embed"

// Schema is the JSON Schema (draft 2020-12) of a protocol file, for completion and first
// checks in an editor. It knows keys and words; units, formulas and references between
// parts are checked by Load.
//
//go:embed protocol.schema.json
var Schema []byte

// keysOf lists the keys of each part of a protocol file. The schema lists the same; a
// test holds them together.
var keysOf = map[string][]string{
	"profile": {"profile", "version", "species", "title", "values", "sources", "changes"},
	"value":   {"id", "label", "value", "source", "note"},
	"protocol": {"protocol", "version", "title", "stage", "purpose", "applies_to", "roles", "cautions", "materials",
		"settings", "amounts", "limits", "steps", "checks", "stages", "hands_over", "tells", "lasts", "needs_ready",
		"follows", "uses", "sources", "changes"},
	"source":   {"id", "text"},
	"change":   {"version", "note"},
	"role":     {"id", "does"},
	"caution":  {"id", "text", "steps"},
	"material": {"name", "amount", "note"},
	"setting":  {"id", "label", "unit", "given_by", "default", "range", "whole", "scales", "source", "note", "handed", "example"},
	"amount":   {"id", "label", "unit", "formula", "round", "split", "scales", "note"},
	"round":    {"to", "direction", "figures"},
	"limit":    {"what", "needs", "has"},
	"step":     {"id", "title", "at", "done_at", "every", "until", "do", "amounts", "signed", "entries", "tables"},
	"table":    {"id", "title", "row", "rows", "count", "partial", "labels", "shows", "columns"},
	"entry": {"id", "label", "kind", "unit", "range", "required", "choices", "alarming", "planned", "tolerance",
		"works_out", "how", "trend", "replicates", "note", "example", "any_time"},
	"check":       {"id", "rule", "each", "level", "at", "says", "remedy"},
	"hands_over":  {"id", "label", "unit", "formula"},
	"needs_ready": {"protocol", "by", "spare", "keeps", "rounds", "sets", "brings", "why"},
	"follows":     {"protocol", "after", "wait", "sets", "optional"},
	"uses":        {"what", "needs", "unit", "has", "from", "to"},
	"stage":       {"id", "label", "in", "in_unit", "out", "out_unit"},

	"tells":                 {"collection", "release", "deaths", "larvae", "lengths", "water", "spawning", "gonads", "register", "fates", "crosses", "closing"},
	"tells_collection":      {"shore", "permit", "taken", "returned", "kept", "injured", "dead", "landed", "bags"},
	"tells_collection_bags": {"place", "animals"},
	"tells_release":         {"shore", "permit", "parents", "mark", "released", "lost", "shells", "plots", "visits"},
	"tells_release_plots":   {"place", "animals"},
	"tells_release_visits":  {"date", "live"},
	"tells_deaths":          {"daily", "by_class", "classes"},
	"tells_deaths_daily":    {"dead", "removed", "alive"},
	"tells_deaths_by_class": {"class", "day", "dead", "removed"},
	"tells_deaths_classes":  {"came_in", "counts"},
	"tells_deaths_count":    {"alive", "at"},
	"tells_larvae":          {"fertilised", "first", "first_at", "alive", "at", "age"},
	"tells_lengths":         {"cohort", "samples"},
	"tells_sample":          {"at", "of", "mean"},
	"tells_water":           {"temperature", "salinity", "ph"},
	"tells_spawning":        {"females", "mothers", "fathers", "on", "induced_by", "animals"},
	"tells_gonads":          {"index"},
	"tells_register":        {"animal", "cohort", "sex"},
	"tells_fates":           {"animal", "fate"},
	"tells_crosses":         {"mother", "father", "eggs", "larvae", "kept"},
	"tells_closing":         {"closed", "by", "on"},
}
