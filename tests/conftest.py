"""Settings that all tests share. Any test can import the helper modules beside this file."""

from __future__ import annotations

from hypothesis import settings

# Derandomised: the same examples on every machine and in every run.
settings.register_profile("pourday", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("pourday")
