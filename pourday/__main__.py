"""``python -m pourday`` is the ``pourday`` command."""

from pourday.cli import main

main()
