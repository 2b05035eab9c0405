"""Fills a workbook through LibreOffice itself, and moves things about as people do:
python fill_uno.py PIPE in.xlsx out.xlsx values.json"""
import json
import sys

from office_uno import cell_of, connect, finished, load, save

pipe, source, target, values = sys.argv[1:]
book = load(connect(pipe), source)
for name, value in json.load(open(values)).items():
    cell = cell_of(book, name)
    if isinstance(value, str):
        cell.setString(value)
    else:
        cell.setValue(value)
sheet = book.Sheets.getByIndex(1)
sheet.unprotect("")
sheet.Rows.insertByIndex(4, 3)
sheet.Columns.insertByIndex(1, 1)
sheet.Name = "beakers, Ann's"
book.Sheets.moveByName("Working", 0)
save(book, target)
finished()
