"""The tables of a scenario file as written: units in the names, limits beside each key.

In comes parsed TOML, out come checked tables; ``build`` makes the model of them. ``file`` names
every table; ``deck`` has slab, loads, beams; ``concrete`` mix, weather, curing; ``site`` pumps,
crews, plants, plans; ``supports`` says where supports and joints are.
"""
