"""What concrete does by itself: pure functions over numpy arrays, SI units.

``age`` is the clock of all others (read it first); ``temperature``, ``cooling``, ``setting``,
``edges`` (when a fresh edge is lost), ``evaporation``, ``bleed``, ``frost``, ``hydration``,
``curing``, ``strength``.
"""
