"""What a front will still take: concrete counted strip by strip as the crew gets to see it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(slots=True)
class Need:
    """Counts of one front (m³) that loads are called by.

    ``called`` and ``rejected`` are of its loads; ``used`` went into strips that are over, which
    were ``used_as_planned``; ``current`` is for the strip in hand, ``to_begin`` planned for those
    ahead; ``for_line`` is what pump and line take in all, pipes put on and washing out counted.
    ``expected_use`` is what the file expects of placed over planned.
    """

    expected_use: float
    to_begin: float
    for_line: float
    loads_called: int = 0
    called: float = 0.0
    rejected: float = 0.0
    used: float = 0.0
    used_as_planned: float = 0.0
    current: float = 0.0

    def in_all(self) -> float:
        """Concrete this front will take in all, as the foreman sees it now (m³).

        Strips done and the one in hand are measured; those ahead are taken as planned, times the
        use found so far.
        """
        begun = self.used_as_planned > 0
        use = self.used / self.used_as_planned if begun else self.expected_use
        return self.in_hand() + self.to_begin * float(use)

    def in_hand(self) -> float:
        """Concrete for pump, line, the strips done and the one in hand (m³): all of it measured."""
        return self.for_line + self.used + self.current

    def short(self) -> float:
        """Concrete that is still to be called (m³); below 0 where more is called than needed."""
        return self.in_all() - (self.called - self.rejected)

    def begin_strip(self, real: float, planned: float) -> None:
        """The crew begins a strip, and sees what it will really take (m³)."""
        self.current = real
        self.to_begin = max(0.0, self.to_begin - planned)

    def end_strip(self, placed: float, planned: float, left: float) -> None:
        """The strip is full, or ``left`` (m³) is missing."""
        self.used += placed
        self.used_as_planned += planned
        self.current = left
