package workbook

import (
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"
)

// Paper codes of the workbook form. Source: from memory (ECMA-376, pageSetup).
var paperCodes = map[string]int{"Letter": 1, "A4": 9}

// finish freezes the rows at the top, repeats the masthead on every page, locks the sheet
// and sets it up for printing.
func (p *page) finish(orientation string, frozen int) {
	last := column(len(p.widths)) + fmt.Sprint(max(p.row-1, 1))
	p.try(p.file.SetSheetDimension(p.tab, "A1:"+last))
	p.try(p.file.SetPanes(p.tab, &excelize.Panes{Freeze: true, YSplit: frozen, TopLeftCell: fmt.Sprint("A", frozen+1), ActivePane: "bottomLeft"}))
	p.try(p.file.SetSheetView(p.tab, 0, &excelize.ViewOptions{ShowGridLines: new(false)}))
	p.printed = append(p.printed, p.tab)
	p.lock()
	p.paper(orientation)
}

// lock protects a sheet without a password. Widths and heights may be changed and notes
// added: that harms nothing.
func (p *page) lock() {
	p.try(p.file.ProtectSheet(p.tab, &excelize.SheetProtectionOptions{
		SelectLockedCells: true, SelectUnlockedCells: true, FormatColumns: true, FormatRows: true,
		EditObjects: true, EditScenarios: true,
	}))
}

func (p *page) paper(orientation string) {
	size, ok := paperCodes[p.sheet.Site.Paper]
	if !ok {
		size = paperCodes["A4"]
	}
	p.try(p.file.SetSheetProps(p.tab, &excelize.SheetPropsOptions{FitToPage: new(true)}))
	p.try(p.file.SetPageLayout(p.tab, &excelize.PageLayoutOptions{
		Size: &size, Orientation: &orientation, FitToWidth: new(1), FitToHeight: new(0),
	}))
	p.try(p.file.SetPageMargins(p.tab, &excelize.PageLayoutMarginsOptions{ // inches
		Left: new(0.5), Right: new(0.5), Top: new(0.85), Bottom: new(0.8), Header: new(0.4), Footer: new(0.4),
	}))
	s := p.sheet
	p.try(p.file.SetHeaderFooter(p.tab, &excelize.HeaderFooterOptions{
		OddHeader: "&L" + printed(s.Plan.Batch) + "&C" + printed(s.Protocol.Ref()) + "&Rsheet " + printed(s.Digest),
		OddFooter: "&L" + printed(s.Site.Name) + "&C&A&Rpage &P of &N",
	}))
}

// printed makes a text safe in a header, where & begins a code.
func printed(text string) string {
	text = strings.ReplaceAll(text, "&", "&&")
	if r := []rune(text); len(r) > 60 {
		text = string(r[:60])
	}
	return text
}
