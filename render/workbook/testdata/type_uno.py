"""Types into the boxes of a workbook in LibreOffice, in the program's own locale, and cuts
and copies boxes: python type_uno.py PIPE in.xlsx out.xlsx work.json

work.json is {"type": {name: text}, "cut": {name: place}, "copy": {name: place}}, where a
place is a cell of the same sheet, "H60", or the name of another box."""
import json
import sys

from office_uno import cell_of, connect, finished, load, save, setting


def typed(context, book, cell, text):
    dispatcher = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.DispatchHelper", context)
    book.CurrentController.setActiveSheet(cell.Spreadsheet)
    book.CurrentController.select(cell)
    dispatcher.executeDispatch(book.CurrentController.Frame, ".uno:EnterString", "", 0, (setting("StringName", text),))


def place(book, sheet, where):
    if book.NamedRanges.hasByName(where):
        return cell_of(book, where).CellAddress
    return sheet.getCellRangeByName(where).CellAddress


pipe, source, target, work = sys.argv[1:]
context = connect(pipe)
book = load(context, source)
work = json.load(open(work))
for name, text in work.get("type", {}).items():
    typed(context, book, cell_of(book, name), text)
for what in ("cut", "copy"):
    for name, where in work.get(what, {}).items():
        cell = cell_of(book, name)
        sheet = cell.Spreadsheet
        sheet.unprotect("")
        move = sheet.moveRange if what == "cut" else sheet.copyRange
        move(place(book, sheet, where), cell.RangeAddress)
save(book, target)
finished()
