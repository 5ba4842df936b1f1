"""What the deck and its beams carry: pure functions over numpy arrays, SI units.

beam     a sheet run as a continuous beam: influence of a unit load on every cell
loads    wet concrete, persons and tools
ponding  how thick the slab becomes as the deck sags; release: supports that cannot pull let go
limits   each rule with its clause: resistance, ponding, uplift; sag_rules those of sag
history  all load states of a day at once: response, peaks, share of resistance, balance

Everything is per metre width of deck. Loads and sag are positive downward, reactions upward,
moments sagging.
"""
