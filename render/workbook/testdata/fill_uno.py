"""Fills a workbook through LibreOffice itself, and moves things about as people do:
python fill_uno.py PIPE in.xlsx out.xlsx values.json"""
import json
import sys
import time

import uno
from com.sun.star.beans import PropertyValue


def connect(pipe):
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    for _ in range(120):
        try:
            return resolver.resolve("uno:pipe,name=%s;urp;StarOffice.ComponentContext" % pipe)
        except Exception:
            time.sleep(0.5)
    sys.exit("LibreOffice did not answer")


def setting(name, value):
    p = PropertyValue()
    p.Name, p.Value = name, value
    return p


pipe, source, target, values = sys.argv[1:]
context = connect(pipe)
desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
book = desktop.loadComponentFromURL(uno.systemPathToFileUrl(source), "_blank", 0, (setting("Hidden", True),))
for name, value in json.load(open(values)).items():
    cell = book.NamedRanges.getByName(name).getReferredCells().getCellByPosition(0, 0)
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
book.storeToURL(uno.systemPathToFileUrl(target), (setting("FilterName", "Calc MS Excel 2007 XML"),))
book.close(True)
try:
    desktop.terminate()
except Exception:
    pass
