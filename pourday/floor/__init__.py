"""Geometry of the floor and the order of placing.

``bays`` cuts the floor into sheet runs and bays, ``strips`` cuts bays into strips, ``order`` puts
them in a directed acyclic graph with a reason on every edge, ``edges`` finds the sides that two
strips share, ``lines`` joins strips and deck, ``layout`` holds all of it for one plan.
"""
