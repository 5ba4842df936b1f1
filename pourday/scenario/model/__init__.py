"""A scenario as the program uses it: frozen values, SI inside (s, m, N, Pa, °C, m³/s).

``scenario`` holds it all and the prices, ``deck`` slab, loads and beams, ``concrete`` mix, weather
and curing, ``site`` pumps, crews, plants and plans.
"""
