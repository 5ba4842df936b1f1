"""Geometry of the floor and the order of placing.

In comes a scenario and a plan, out comes a ``Layout``: all that is fixed before the day begins.
cut      the floor cut once into sheet runs, lanes and bays: a value that is handed down
strips, edges   each plan's strips, and the sides they share
order    which strip comes when, and why (networkx); which front pours which bay
access   how pump or crane gets at each strip, and where crews would meet
lines    where deck, strips and beams meet: load states, ponding
Read ``layout`` first.
"""
