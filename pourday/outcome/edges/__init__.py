"""Fresh edges: how long they waited, which were lost, and where a stopped pour could end.

In come basis, fronts and the log, out come edge pairs judged and advice. Read ``edge_pairs`` first.
"""
