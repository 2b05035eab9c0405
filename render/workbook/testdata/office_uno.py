"""What the scripts share that drive LibreOffice by UNO."""
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


def load(context, source):
    desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
    return desktop, desktop.loadComponentFromURL(uno.systemPathToFileUrl(source), "_blank", 0, (setting("Hidden", True),))


def cell_of(book, name):
    return book.NamedRanges.getByName(name).getReferredCells().getCellByPosition(0, 0)


def save(desktop, book, target):
    book.storeToURL(uno.systemPathToFileUrl(target), (setting("FilterName", "Calc MS Excel 2007 XML"),))
    book.close(True)
    try:
        desktop.terminate()
    except Exception:
        pass
