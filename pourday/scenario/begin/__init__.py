"""A first scenario file from a dozen answers: in come texts as typed, out comes commented TOML.

``answers`` reads what was typed, ``questions`` asks and proposes, ``like`` takes answers from a
file that there is, ``text`` writes the file. Read ``questions`` first.
"""
