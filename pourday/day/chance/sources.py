"""What the streams of chance are called on a site: every stream belongs to one source.

The table goes by how a stream's name begins; names are those that the modules of ``pourday.day``
and ``pourday.outcome`` give their streams.
"""

from __future__ import annotations

import re

from pourday.day.chance.factors import CREW, PLANT, TRAVEL

_FRONT = re.compile(r"^front \d+: ")

# Source in the words of the site -> how the names of its streams begin.
_BEGINNINGS: dict[str, tuple[str, ...]] = {
    "crew pace of the day": (CREW,),
    "plant pace of the day": (PLANT,),
    "travel of the day": (TRAVEL,),
    "each trip": ("travel from ", "way back to "),
    "plant: other customers": ("other customers at ",),
    "gate, positions, wash": (
        "gate", "position", "test", "change of trucks", "wash", "round the block",
    ),
    "discharge of each truck": ("discharge",),
    "loads refused at the test": ("slump test",),
    "pump output of the day": ("output",),
    "moves, pipes, skips": ("move", "pipe", "reset", "skip filled", "skip emptied"),
    "set-up and wash-out": ("set-up", "prime", "wash out"),
    "blockages": ("blockage", "placing time between blockages", "stand blocks"),
    "lifts for other trades": ("another trade's lift", "time to another trade's lift"),
    "breakdowns and closures": ("time before ", "length of "),
    "people who do not come": ("placers of front ",),
    "spacing of calls": ("spacing",),
    "telephone and measuring": ("measured", "guess of ", "resume", "beyond booking"),
    "weather": ("air shift", "humidity shift", "wind factor", "rain "),
    "concrete temperature": ("delivered temperature",),
    "concrete taken by strips": ("use",),
    "heaps": ("heap",),
    "samples": ("samples",),
}  # fmt: skip
SOURCES = tuple(_BEGINNINGS)
"""All sources, in the order of the table."""
# "wash out" begins as "wash" does: the longest beginning counts.
_BY_LENGTH = sorted(
    ((begin, source) for source, begins in _BEGINNINGS.items() for begin in begins),
    key=lambda each: -len(each[0]),
)


def source_of(stream: str) -> str:
    """The source that a stream of chance belongs to, by its name.

    Raises:
        KeyError: for a stream that nobody has put into the table.
    """
    plain = _FRONT.sub("", stream)
    for begin, source in _BY_LENGTH:
        if plain.startswith(begin):
            return source
    raise KeyError(f"the stream {stream!r} belongs to no source of pourday/day/chance/sources.py")
