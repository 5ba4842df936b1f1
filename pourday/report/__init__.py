"""Reports: they read outcomes and compute nothing.

text       rich tables on the screen
figures    matplotlib pictures
records    JSON, CSV and calendar files
rehearsal  a day stepped through in the terminal
What they share (``words``, ``progress``) stands here.
"""
