package calendar

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"spatsheet/calc/schedule"
	"spatsheet/protocols/remedy"
	"spatsheet/render/page"
	"spatsheet/render/style"
)

var weekdays = []string{"Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"}

// month draws one month, and after it the list of the days that are too full.
func (p *sheet) month(first time.Time, days map[time.Time][]string) {
	p.page(first.Format("January 2006"))
	weeks := weeksOf(first)
	cell := p.width / 7
	heights, pt := p.fit(weeks, first.Month(), days, cell)
	y := p.top + headMM
	for i, name := range weekdays {
		p.text(p.left+float64(i)*cell+padMM, y, name, style.LabelPt, true)
	}
	y += weekMM
	var full []time.Time
	for w, week := range weeks {
		for i, day := range week {
			if day.Month() != first.Month() {
				continue
			}
			if !p.day(p.left+float64(i)*cell, y, cell, heights[w], pt, day, days[day]) {
				full = append(full, day)
			}
		}
		y += heights[w]
	}
	if len(full) == 0 {
		return
	}
	p.list(first.Format("January 2006") + ", full days")
	for _, day := range full {
		p.listDay(day, days[day])
	}
}

// weeksOf lists the weeks of a month, Monday first, with the days around it.
func weeksOf(first time.Time) [][7]time.Time {
	back := (int(first.Weekday()) + 6) % 7
	var weeks [][7]time.Time
	for day := first.AddDate(0, 0, -back); day.Before(first.AddDate(0, 1, 0)); {
		var week [7]time.Time
		for i := range week {
			week[i] = day
			day = day.AddDate(0, 0, 1)
		}
		weeks = append(weeks, week)
	}
	return weeks
}

// fit chooses the type size and the height of each week: the largest type in which all
// fits and no code is broken, and what is left over dealt out evenly. Where nothing fits, the fullest weeks are
// cut to one height.
func (p *sheet) fit(weeks [][7]time.Time, month time.Month, days map[time.Time][]string, cell float64) ([]float64, float64) {
	room := p.height - headMM - weekMM - footMM
	heights := make([]float64, len(weeks))
	for i, pt := range entrySizes {
		if i < len(entrySizes)-1 && widestCode(weeks, month, days, pt) > cell-2*padMM {
			continue
		}
		sum := 0.0
		for w, week := range weeks {
			heights[w] = daysMM + 2*padMM
			for _, day := range week {
				if day.Month() == month {
					heights[w] = max(heights[w], daysMM+2*padMM+float64(lineCount(days[day], pt, cell))*style.LineMM(pt))
				}
			}
			sum += heights[w]
		}
		if sum <= room {
			for w := range heights {
				heights[w] += (room - sum) / float64(len(heights))
			}
			return heights, pt
		}
	}
	capped := room / float64(len(heights)) // raised until the room is used
	for range 60 {
		used, over := 0.0, 0
		for _, h := range heights {
			used += min(h, capped)
			if h > capped {
				over++
			}
		}
		if over == 0 || room-used < 0.01 {
			break
		}
		capped += (room - used) / float64(over)
	}
	for w := range heights {
		heights[w] = min(heights[w], capped)
	}
	return heights, entrySizes[len(entrySizes)-1]
}

// widestCode is the width in mm of a month's widest code, the first word of its entries.
func widestCode(weeks [][7]time.Time, month time.Month, days map[time.Time][]string, pt float64) float64 {
	widest := 0.0
	for _, week := range weeks {
		for _, day := range week {
			for _, e := range days[day] {
				if code, _, _ := strings.Cut(e, " "); day.Month() == month {
					widest = max(widest, style.Regular().Width(code, pt))
				}
			}
		}
	}
	return widest
}

func lineCount(entries []string, pt, cell float64) int {
	n := 0
	for _, e := range entries {
		n += len(style.Regular().Wrap(e, pt, cell-2*padMM))
	}
	return n
}

// fullDay stands in the box of a day that is not all in it.
const fullDay = "all %d: list after this month"

// day draws one box; it returns false when not all of the day is in it.
func (p *sheet) day(x, y, width, height, pt float64, day time.Time, entries []string) bool {
	box := page.Rectangle(x, y, width, height)
	p.on.Path(append(box, box[0]), page.Pen{Width: style.HairLine})
	p.text(x+padMM, y+padMM/2, fmt.Sprint(day.Day()), dayPt, true)
	room := int((height - daysMM - 2*padMM + 0.01) / style.LineMM(pt))
	all := lineCount(entries, pt, width) <= room
	if !all {
		room-- // for the line that says where the day is
	}
	top := y + daysMM + padMM
	for _, e := range entries {
		wrapped := style.Regular().Wrap(e, pt, width-2*padMM)
		if len(wrapped) > room {
			break
		}
		for _, line := range wrapped {
			p.text(x+padMM, top, line, pt, false)
			top += style.LineMM(pt)
			room--
		}
	}
	if !all {
		p.text(x+padMM, top, fmt.Sprintf(fullDay, len(entries)), pt, true)
	}
	return all
}

// list begins a page of lines.
func (p *sheet) list(title string) {
	p.page(title)
	p.y, p.listTitle = p.top+headMM, title
}

// listOn goes on with the list on another page.
func (p *sheet) listOn() {
	p.page(p.listTitle + " (continued)")
	p.y = p.top + headMM
}

// listDay puts one day on the list; it is not torn unless higher than a page.
func (p *sheet) listDay(day time.Time, entries []string) {
	p.listItem(day.Format("Monday 2 January"), entries)
}

func (p *sheet) listItem(title string, texts []string) {
	var wrapped []string
	for _, t := range texts {
		wrapped = append(wrapped, style.Regular().Wrap(t, listPt, p.width)...)
	}
	bottom := p.top + p.height - footMM
	if p.y+style.LineMM(listDayPt)+float64(len(wrapped))*style.LineMM(listPt) > bottom && p.y > p.top+headMM {
		p.listOn()
	}
	for _, line := range style.Bold().Wrap(title, listDayPt, p.width) {
		p.text(p.left, p.y, line, listDayPt, true)
		p.y += style.LineMM(listDayPt)
	}
	for _, line := range wrapped {
		if p.y+style.LineMM(listPt) > bottom {
			p.listOn()
		}
		p.text(p.left, p.y, line, listPt, false)
		p.y += style.LineMM(listPt)
	}
	p.y += style.LineMM(listPt) / 2
}

// closing lists the clashes, and the batches with their latest starts in the order of start
// and code.
func (p *sheet) closing() {
	p.list("Batches and clashes")
	for _, c := range p.c.Schedule.Clashes {
		says, _ := style.Printable(c.Says)
		todo, _ := style.Printable("remedy: " + c.ToDo(remedy.Remedy.String))
		p.listItem(string(c.Level)+": "+says, []string{todo})
	}
	batches := slices.Clone(p.c.Schedule.Batches)
	slices.SortStableFunc(batches, func(x, y *schedule.Scheduled) int {
		return cmp.Or(x.Start.Compare(y.Start), cmp.Compare(x.Code, y.Code))
	})
	for _, b := range batches {
		title, _ := style.Printable(shown(b) + "  " + b.Sheet.Protocol.Title)
		when := fmt.Sprintf("start %s, ends %s", b.Start.Format("2006-01-02 15:04"), b.Ends().Format("2006-01-02"))
		if !b.Latest.IsZero() {
			when += fmt.Sprintf("; latest start %s, to spare %s", b.Latest.Format("2006-01-02 15:04"), Slack(b.Slack))
		}
		if b.For != nil && b.Why != "" {
			when += fmt.Sprintf("; for %s: %s", b.For.Code, b.Why)
		}
		when, _ = style.Printable(when)
		p.listItem(title, []string{when})
	}
}
