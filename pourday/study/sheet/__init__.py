"""What the paper for the site says: times of a plan over many days, stop ends, samples, dates.

In come a plan's basis and many played days, out comes a ``Sheet`` value that ``report.sheet``
draws. Read ``says`` first, ``made`` puts it together.
"""
