"""What the deck and its beams carry: pure functions over numpy arrays, SI units.

beam     a sheet run as a continuous beam: influence of a unit load on every cell
loads    wet concrete, persons and tools
ponding  how thick the slab becomes when the deck sags while it is struck, order by order
limits   each rule with its clause: share of resistance, sag, ponding, uplift
history  all load states of a day at once: response, peaks, share of resistance, balance

Everything is per metre width of deck. Loads and sag are positive downward, reactions upward,
moments sagging.
"""
