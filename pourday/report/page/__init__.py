"""A day or a comparison as one page for a browser, in one file that asks nothing of any network.

In: what the outcome or the study found. Out: the page as text; nothing is worked out here but
where things are drawn. Small functions give pieces of it, ``whole.py`` puts them together with
``page.css`` and ``page.js``; what moves is in ``drawn``. Read ``day.py`` and
``compare.py`` first, then ``html.py``, which lets no name of a scenario be anything but text.
"""
