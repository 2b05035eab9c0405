package quantity

// kind numbers the independent base kinds of a dimension.
type kind = int

const (
	length kind = iota
	mass
	duration
	amount
	current
	temperature
	salinity
	acidity
	firstCounted // the counted things follow, in the order of countedThings
)

const kindCount = firstCounted + len(countedThings)

// kindWords names the kinds that are not counted.
var kindWords = [firstCounted]string{
	length: "length", mass: "mass", duration: "time", amount: "amount of substance",
	current: "electric current", temperature: "temperature difference",
	salinity: "salinity", acidity: "pH",
}

// countedThing is a thing counted one by one: how one and many are written, and which
// other spellings are read.
type countedThing struct {
	one, many string
	also      []string
}

// countedThings lists what a sheet can count, each a kind of its own. To add one, add a line.
var countedThings = [...]countedThing{
	{one: "egg", many: "eggs"},
	{one: "sperm", many: "sperm"},
	{one: "larva", many: "larvae"},
	{one: "spat", many: "spat"},
	{one: "cell", many: "cells"},
	{one: "animal", many: "animals"},
	{one: "plate", many: "plates"},
	{one: "beaker", many: "beakers"},
	{one: "tank", many: "tanks"},
	{one: "flask", many: "flasks"},
	{one: "carboy", many: "carboys"},
	{one: "tube", many: "tubes"},
	{one: "vessel", many: "vessels"},
	{one: "rack", many: "racks"},
	{one: "drop", many: "drops"},
	{one: "square", many: "squares"},
	{one: "division", many: "divisions"},
	{one: "person", many: "persons", also: []string{"people"}},
	{one: "pass", many: "passes"},
}
