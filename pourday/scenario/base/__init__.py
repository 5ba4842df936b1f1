"""What every table and object of a scenario builds on.

Quantities and distributions, units and their factors, what a key takes in words, faults, files
read and written, and the plain words of upsets. Nothing here knows a table. Read ``quantities``
first.
"""
