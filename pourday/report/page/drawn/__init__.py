"""What moves on the page: a day as frames, its drawings, and the slider over them.

In: the outcome of a day. Out: HTML with SVG, and frames as JSON for ``page.js``. Read
``moving.py`` first.
"""
