"""Chance of a day: named streams, the weather, what goes wrong and whom it hits.

In comes a seed and how often things happen, out come values that are the same for every plan.
The words of an upset stand in ``scenario.base.upsets``, what it cost in ``study.effects``.
"""
