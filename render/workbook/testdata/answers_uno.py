"""Waits until LibreOffice answers, and then tells it to end if that is wanted:
python answers_uno.py PIPE [end]"""
import sys

from office_uno import connect, finished

context = connect(sys.argv[1])
if sys.argv[2:] == ["end"]:
    context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context).terminate()
finished()
