"""Waits until LibreOffice answers: python answers_uno.py PIPE"""
import sys

from office_uno import connect, finished

connect(sys.argv[1])
finished()
