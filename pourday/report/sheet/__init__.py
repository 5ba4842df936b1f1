"""Paper for the site: the sheet of a plan as PDF pages, black on white, nothing under 10 pt.

In comes a ``study.sheet.says.Sheet``, out come pages; nothing is worked out here. ``paper`` has
the pages, boxes, tables and measured text, ``amounts`` every number as it is printed, each other
module one subject; ``save`` binds and writes them.
"""
