"""What a day log means: fronts, edge pairs, waiting, deck, weather, cost.

``basis`` prepares once for a plan what every day needs, ``measure`` turns a log into an outcome.
"""
