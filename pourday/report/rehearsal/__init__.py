"""A played day stepped through in the terminal.

In comes a day's outcome and a way to replay it, out go pages. Read ``rehearse`` first; ``view``
lays a page out, ``map`` draws the floor with its open edges in characters, ``words`` is what is
said, ``keys`` the keyboard.
"""
