"""One module a command: its options, what it reads, which report it calls.

In come the words of a command line, out go a report on the screen and files; no rule lives here.
``shared`` holds what all commands need. Read ``check`` first: it is the shortest.
"""
