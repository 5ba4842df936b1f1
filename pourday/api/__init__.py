"""What Python programs call: thin doors to what the commands call, one module a door.

In come a scenario and plain values, out come frozen values with numpy arrays, units in the names.
``import pourday`` offers them all; no rule lives here. Read ``day`` first, then docs/python.md.
"""
