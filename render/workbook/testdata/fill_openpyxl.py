"""Fills a workbook the way a script would: python fill_openpyxl.py in.xlsx out.xlsx values.json"""
import json
import sys

import openpyxl

book = openpyxl.load_workbook(sys.argv[1])
names = {}
for name in book.defined_names.definedName:
    if name.localSheetId is None:
        names[name.name] = next(iter(name.destinations))
for name, value in json.load(open(sys.argv[3])).items():
    sheet, ref = names[name]
    book[sheet][ref.replace("$", "")].value = value
book.save(sys.argv[2])
