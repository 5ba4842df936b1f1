"""What concrete does by itself: pure functions over numpy arrays, SI units.

``age`` is the clock of all others (read it first); ``temperature``, ``setting``, ``edges`` (the
rules by which a fresh edge is lost), ``evaporation``, ``bleed``, ``strength``.
"""
