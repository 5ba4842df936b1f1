"""Rich tables and sentences, one module a report or section: what a command prints.

In comes an outcome or a comparison, out go lines on a console. Read ``day`` first.
"""
