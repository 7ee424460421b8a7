"""Exit codes: what a script can tell from how a command ended."""

from enum import IntEnum


class Exit(IntEnum):
    """How a command ended."""

    DONE = 0
    OUR_FAILURE = 1
    BAD_INPUT = 2
    NO_COMPOSITION = 3
    RULE_BROKEN = 4
    STOPPED = 5  # by its time limit or by Ctrl-C, before there was all that was asked for
    READER_GONE = 141  # as a shell counts the end by a closed pipe


def without_answer(outcome: object) -> Exit:
    """How to end without an answer: as sure that there is none, stopped, or at a loss.

    Args:
        outcome: what the solver said.
    """
    from ...solver.program.deadline import TIME_RAN_OUT
    from ...solver.program.outcome import Infeasible, Stopped

    if isinstance(outcome, Infeasible):
        return Exit.NO_COMPOSITION
    return Exit.STOPPED if outcome == Stopped(TIME_RAN_OUT) else Exit.OUR_FAILURE
