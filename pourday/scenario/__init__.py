"""What the user writes: one TOML file for one floor and its plans, read into frozen objects.

In comes a path, out comes ``model.scenario.Scenario`` (SI inside) or a full list of faults.
base     words, units, quantities, faults: what all rooms build on
tables   the tables as written, units in the key names, limits beside each key
model    the same as frozen objects, SI
clashes  what cannot be true together, though every key alone is in its range
Read ``read`` first: it goes through all of them in order. ``reference`` and ``schema`` tell others
what a file may hold, for a reader and for a program.
"""
