"""Exit codes: what a script can tell from how a command ended."""

from enum import IntEnum


class Exit(IntEnum):
    """How a command ended."""

    DONE = 0
    OUR_FAILURE = 1
    BAD_INPUT = 2
    NO_COMPOSITION = 3
    RULE_BROKEN = 4
    READER_GONE = 141  # as a shell counts the end by a closed pipe
