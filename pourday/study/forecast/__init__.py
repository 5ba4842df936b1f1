"""The forecast of a pour under way: the past is what the tickets say, the rest is played.

In come a plan's basis and tickets. ``past`` makes of them what is known of each front, ``laid``
where its concrete lies, ``factors`` what kind of day it is so far, ``begin`` the state
(``day.state``) from which a rest goes on; ``rests`` plays many, ``forecast`` gathers them.
Read ``past`` first, then ``begin``.
"""
