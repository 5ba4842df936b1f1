"""What the other rooms build on.

``basis`` (a plan prepared once), ``fronts`` (where each front stood at every moment),
``top`` (the floor as finishers meet it).
"""
