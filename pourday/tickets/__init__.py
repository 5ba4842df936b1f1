"""Tickets: what was typed in the hut, or exported by a plant, about a pour under way.

In comes text (``grammar`` reads a line, ``export`` a plant's table), out come frozen lines with
their numbers and times (``read``), loads put together from them (``loads``), and a remark for
everything that is late, double, out of order, impossible or without a time: nothing is fatal, and
nothing is dropped in silence. ``note`` stamps a line and appends it. Needs the scenario only.
Read ``line`` first, then ``read``.
"""
