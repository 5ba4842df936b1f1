"""A pour that is over: the forecast made before it against what its tickets say.

In: a plan's basis and the tickets of one pour or more. Out: every figure with its forecast and
whether it lay inside, how often that was so, and the minutes of each cause. Read ``seen.py`` first.
"""
