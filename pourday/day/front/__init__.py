"""A front's own subjects: what it needs, who is told, how fast its crew is, its pump and line.

Read ``front`` first: it gathers them.
"""
