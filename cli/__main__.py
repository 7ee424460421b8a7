"""``python -m barwright.cli``: the same as the command ``barwright``."""

from .entry import main

main()
