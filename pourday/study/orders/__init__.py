"""Orders of strips beside each other, by what the deck feels; no day is played.

In come prepared plans, out come orders with their peaks. Read ``deck_study`` first; ``bay`` judges
one order of one bay, ``search`` looks for the best and the worst, ``turns`` for where it turns.
"""
