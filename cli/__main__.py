"""``python -m barwright.cli``: the same as the command ``barwright``."""

from .kit.entry import main

main()
