"""Orders given in the middle of a day, and the day that obeys them.

An order is a frozen value (``day.log.Order``), its effect a pure function from one state of a day
to another: the state is taken up, changed, and taken down again, so that an order that is taken
back leaves the day as it was. ``line`` reads them, ``obey`` does them; read ``obey`` first.
"""
