package quantity

import (
	"strings"
	"unicode/utf8"

	"spatsheet/protocols/spelling"
)

// refusedUnits are units people do write, each with what to write instead.
var refusedUnits = map[string]string{
	"°F": "use °C", "F": "use °C", "degF": "use °C", "C": "use °C", "degC": "use °C", "Cel": "use °C",
	"ppt": "write PSU for practical salinity, or g/kg for a mass ratio",
	"PPT": "write PSU for practical salinity, or g/kg for a mass ratio",
	"‰":   "write PSU for practical salinity, or g/kg for a mass ratio",
	"psu": "did you mean PSU?", "ppm": "write mg/L or mg/kg", "ppb": "write µg/L or µg/kg",
	"cc": "write mL", "hr": "write h", "hrs": "write h", "sec": "write s", "mins": "write min",
	"litre": "write L", "litres": "write L", "liter": "write L", "liters": "write L",
	"percent": "write %", "knots": "write kn", "knot": "write kn", "mbar": "write hPa",
	"month": "write d or wk", "months": "write d or wk", "mo": "write d or wk",
	"lux": "write µmol/m2/s", "lx": "write µmol/m2/s", "rpm": "write 1/min",
	"gram": "write g", "grams": "write g", "ph": "write pH",
}

// meant are units that are not known here by spellings of theirs, in small letters, that
// say the same number: 36 litres are 36 L.
var meant = map[string]string{
	"c": "°C", "°c": "°C", "° c": "°C", "degc": "°C", "deg c": "°C", "cel": "°C", "celsius": "°C", "°": "°C", "deg": "°C", "degrees": "°C", "degrees c": "°C",
	"ppt": "PSU", "‰": "PSU", "psu": "PSU", "ph": "pH",
	"litre": "L", "litres": "L", "liter": "L", "liters": "L", "ltr": "L", "cc": "mL", "millilitres": "mL", "milliliters": "mL",
	"gram": "g", "grams": "g", "gm": "g", "percent": "%", "per cent": "%", "pct": "%",
	"hr": "h", "hrs": "h", "sec": "s", "secs": "s", "mins": "min",
}

// Meant gives the unit that a spelling which ParseUnit refuses stands for: °C for "C", L for
// "litres"; for a remedy, not to read by.
//
// ok is false where it is not known, or would be another number, as with °F. Salinity in
// ppt is taken for PSU, as older meters name it.
// Range: any text. Source: common practice, no source.
func Meant(name string) (u Unit, ok bool) {
	symbol, ok := meant[strings.ToLower(respelled.Replace(strings.TrimSpace(name)))]
	if !ok {
		return Unit{}, false
	}
	return MustUnit(symbol), true
}

// unknownUnit says which part of the unit is not known and what is nearest to it.
func unknownUnit(name, whole string) error {
	where := ""
	if name != whole {
		where = " in " + quoted(whole)
	}
	switch remedy, known := refusedUnits[name]; {
	case known:
		return badUnit("unknown unit %s%s; %s", quoted(name), where, remedy)
	case name == "":
		return badUnit("unit %s: a factor is missing; write for instance cells/mL or 1/plate", quoted(whole))
	case strings.Contains(whole, " per "):
		return badUnit("unknown unit %s; write a slash for per: %s", quoted(whole), strings.ReplaceAll(clip(whole), " per ", "/"))
	case strings.ContainsAny(name, "()-") || strings.Contains(name, " "):
		return badUnit("unknown unit %s%s; write divisors with a slash, as in µmol/m2/s, without blanks, brackets or minus signs", quoted(name), where)
	}
	if near := nearest(name); near != "" {
		return badUnit("unknown unit %s%s; did you mean %s?", quoted(name), where, near)
	}
	return badUnit("unknown unit %s%s; write for instance mL, °C, PSU, eggs or larvae/mL", quoted(name), where)
}

// nearest gives the unit spelled most like name, or "" when none is close.
func nearest(name string) string {
	if utf8.RuneCountInString(name) > 20 {
		return ""
	}
	best, least := "", 1+min(2, utf8.RuneCountInString(name)/2)
	for _, a := range atoms[1:] {
		for _, s := range a.spellings() {
			d := spelling.Distance(strings.ToLower(name), strings.ToLower(s))
			if d >= least {
				continue
			}
			best, least = a.symbol, d
			if s == a.many {
				best = s
			}
		}
	}
	return best
}

// clip shortens a long text for an error message.
func clip(s string) string {
	if utf8.RuneCountInString(s) <= 40 {
		return s
	}
	return string([]rune(s)[:40]) + "…"
}

func quoted(s string) string { return "\"" + strings.ToValidUTF8(clip(s), "?") + "\"" }
