"""What the scripts share that drive LibreOffice by UNO."""
import os
import sys
import time

import uno
from com.sun.star.beans import PropertyValue


def connect(pipe):
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    for _ in range(240):  # two minutes: a busy computer is slow, not wrong
        try:
            return resolver.resolve("uno:pipe,name=%s;urp;StarOffice.ComponentContext" % pipe)
        except Exception:
            time.sleep(0.5)
    sys.exit("LibreOffice did not answer")


def setting(name, value):
    p = PropertyValue()
    p.Name, p.Value = name, value
    return p


def load(context, source):
    desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
    return desktop.loadComponentFromURL(uno.systemPathToFileUrl(source), "_blank", 0, (setting("Hidden", True),))


def cell_of(book, name):
    return book.NamedRanges.getByName(name).getReferredCells().getCellByPosition(0, 0)


def save(book, target, form="Calc MS Excel 2007 XML"):
    book.storeToURL(uno.systemPathToFileUrl(target), (setting("FilterName", form),))
    book.close(True)


def finished():
    """Ends the script without taking the bridge down, in which LibreOffice's library was seen to crash."""
    sys.stdout.flush()
    os._exit(0)
