"""Has LibreOffice save a workbook as .ods, and that as .xlsx again:
python resave_uno.py PIPE in.xlsx between.ods out.xlsx"""
import sys

from office_uno import connect, finished, load, save

pipe, source, between, target = sys.argv[1:]
context = connect(pipe)
save(load(context, source), between, "calc8")
save(load(context, between), target)
finished()
