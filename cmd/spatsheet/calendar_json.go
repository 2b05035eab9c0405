package main

import (
	"encoding/json"
	"io"
	"time"

	"spatsheet/calc/schedule"
)

// The schedule as JSON; times are clock times of the site.
type (
	scheduleJSON struct {
		Today   string      `json:"today"` // clashes are of days from it on; loads of all days
		Batches []batchJSON `json:"batches"`
		Loads   []loadJSON  `json:"loads"`
		Clashes []clashJSON `json:"clashes"`
	}
	batchJSON struct {
		Batch       string      `json:"batch"`
		Protocol    string      `json:"protocol"`
		Species     string      `json:"species"`
		Planned     bool        `json:"planned"`
		For         string      `json:"for,omitempty"`
		Why         string      `json:"why,omitempty"`
		Start       string      `json:"start"`
		Ready       string      `json:"ready"`
		LatestStart string      `json:"latest_start,omitempty"`
		SlackHours  *float64    `json:"slack_hours,omitempty"`
		Steps       []eventJSON `json:"steps"`
	}
	eventJSON struct {
		Step       string  `json:"step"`
		Title      string  `json:"title"`
		At         string  `json:"at"`
		Times      int     `json:"times"`
		EveryHours float64 `json:"every_hours,omitempty"`
	}
	loadJSON struct {
		Has   string    `json:"has"`
		What  string    `json:"what"`
		Unit  string    `json:"unit"`
		Limit *float64  `json:"limit,omitempty"`
		Days  []dayJSON `json:"days"`
	}
	dayJSON struct {
		Day     string   `json:"day"`
		Sum     float64  `json:"sum"`
		Batches []string `json:"batches"`
	}
	clashJSON struct {
		Level   string   `json:"level"`
		Day     string   `json:"day,omitempty"`
		Until   string   `json:"until,omitempty"`
		Batches []string `json:"batches,omitempty"`
		Says    string   `json:"says"`
		Remedy  string   `json:"remedy"`
	}
)

func writeScheduleJSON(w io.Writer, s schedule.Schedule) error {
	out := scheduleJSON{Today: s.Today.Format(time.DateOnly), Batches: []batchJSON{}, Loads: []loadJSON{}, Clashes: []clashJSON{}}
	for _, b := range s.Batches {
		out.Batches = append(out.Batches, batchOf(b))
	}
	for _, l := range s.Loads {
		load := loadJSON{Has: l.Has, What: l.What, Unit: l.Unit.Symbol(), Days: []dayJSON{}}
		if l.Known {
			load.Limit = &l.Limit
		}
		for _, d := range l.Days {
			load.Days = append(load.Days, dayJSON{d.Day.Format(time.DateOnly), d.Sum, d.Batches})
		}
		out.Loads = append(out.Loads, load)
	}
	for _, c := range s.Clashes {
		clash := clashJSON{Level: string(c.Level), Batches: c.Batches, Says: c.Says, Remedy: c.ToDo(remedyWords)}
		if len(c.Batches) > 0 {
			clash.Day, clash.Until = c.Day.Format(time.DateOnly), c.Until.Format(time.DateOnly)
		}
		out.Clashes = append(out.Clashes, clash)
	}
	encoder := json.NewEncoder(w)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	return encoder.Encode(out)
}

func batchOf(b *schedule.Scheduled) batchJSON {
	const clock = "2006-01-02T15:04"
	out := batchJSON{Batch: b.Code, Protocol: b.Sheet.Protocol.Ref(), Species: b.Sheet.Plan.Species, Planned: b.Planned, Why: b.Why,
		Start: b.Start.Format(clock), Ready: b.Ready.Format(clock), Steps: []eventJSON{}}
	if b.For != nil {
		out.For = b.For.Code
	}
	if !b.Latest.IsZero() {
		slack := b.Slack.Hours()
		out.LatestStart, out.SlackHours = b.Latest.Format(clock), &slack
	}
	for _, e := range b.Events {
		out.Steps = append(out.Steps, eventJSON{e.Step.Definition.ID, e.Step.Definition.Title, e.Start.Format(clock), e.Times, e.Every.Hours()})
	}
	return out
}
