"""The answer first: one screen a command, the rest under ``--full``.

In come the same values as the reports of ``--full`` print, out go 24 lines at 80 columns for up to
four plans: verdict, one table, what is out, a warning, where next. Read ``screen`` first.
"""
