"""Settings that all tests share. Any test can import the helper modules beside this file."""

from __future__ import annotations

import gc
import os

from hypothesis import settings

# As the command does it (pourday/cli.py), and before numpy is loaded: one thread a process.
for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(name, "1")

# Thousands of tests keep a large heap, which is not worth walking through at every 700 new objects:
# an eighth of the time of tests that play days.
gc.set_threshold(50_000, 20, 50)

# Derandomised: the same examples on every machine and in every run.
settings.register_profile("pourday", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("pourday")
