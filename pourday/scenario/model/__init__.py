"""A scenario as the program uses it: frozen values, SI inside (s, m, N, Pa, °C, m³/s).

``scenario`` holds floor, deck, mix, weather and prices, ``site`` pumps, crews, plants and plans.
"""
