"""Which of many plans: candidates of a file played as far as it takes to tell them apart.

In comes what a file's [search] asks for (``scenario.candidates``), out comes the cheapest candidate
within all limits, what separates it from the next, what each limit costs, and a front of the rest.
Read ``trial`` first (candidates and what their days say), then ``rounds``, then ``found``.
"""
