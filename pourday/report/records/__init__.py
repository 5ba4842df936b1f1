"""Machine-readable output, documented in docs/outputs.md: JSON, CSV, calendar files.

In comes what the text reports take, out come plain dictionaries or files. Read ``day`` first.
"""
