"""``--time-limit`` over the whole of every command, and Ctrl-C, which asks for the same at once.

What can show a part of its answer looks at the deadline and says what it left undone; what cannot
is stopped where it is, and says so.
"""

import _thread
import inspect
import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from functools import wraps
from math import inf
from time import monotonic
from types import FrameType
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from .options import finite

if TYPE_CHECKING:
    from ...solver.program.deadline import Deadline

WITHOUT = frozenset({"new", "schema"})
"""Commands that are over before any limit."""

USUAL_S = 60.0
"""What a maker waits for at most, unless told otherwise [s]."""

NO_LIMIT = frozenset({"page", "sweep"})
"""Commands that show how far they are, and take as long as what was asked of them."""

GRACE_S = 5.0
"""So long may it take to show what there is, once the time is over [s]."""

_Limit = Annotated[
    float | None,
    typer.Option(
        "--time-limit",
        metavar="SECONDS",
        min=0.001,
        callback=finite,
        help="Give up after so long; what is undone is said.",
    ),
]


class StoppedError(BaseException):
    """A command that could show nothing when its time was over; no error for anyone to catch.

    Args:
        seconds: what it was allowed [s]; ``None`` where the maker stopped it.
    """

    def __init__(self, seconds: float | None) -> None:
        super().__init__(seconds)
        self.seconds = seconds


def stopped_sentence(seconds: float | None) -> str:
    """That a command was stopped, and what would help.

    >>> stopped_sentence(60.0)
    'The 60 s allowed ran out before there was an answer; --time-limit SECONDS gives more.'
    """
    if seconds is None:
        return "Stopped before there was an answer."
    return (
        f"The {seconds:g} s allowed ran out before there was an answer; "
        "--time-limit SECONDS gives more."
    )


@dataclass(slots=True, eq=False)
class _Watch:
    """The time that a command has, and who asked for its end.

    Args:
        seconds: what it may take [s]; ``None`` for as long as it takes.
        ends: when that is over, by its own clock [s].
        shows_part: whether it looks at the time itself and shows what there is.
        asked: set once the maker asked for the end.
        over: whether what was to be shown had its time too.
        done: whether the command is over.
        timers: what rings when the time is over.
    """

    seconds: float | None
    ends: float
    shows_part: bool = False
    asked: threading.Event = field(default_factory=threading.Event)
    over: bool = False
    done: bool = False
    timers: list[threading.Timer] = field(default_factory=list)

    def clock(self) -> float:
        """The time now [s]; without end once the maker asked for the end."""
        return inf if self.asked.is_set() else monotonic()

    def begin(self) -> None:
        """Ring when the time is over."""
        if self.seconds is not None:
            self._after(self.seconds, self._due)

    def end(self) -> None:
        """Ring no more."""
        self.done = True
        for timer in self.timers:
            timer.cancel()

    def interrupted(self, number: int, frame: FrameType | None) -> None:
        """Ctrl-C, or a timer that rang: wait for what there is, or end here."""
        del number, frame
        if self.done:
            return
        again = self.over or self.asked.is_set()
        if not self.over:
            self.asked.set()
        if again or not self.shows_part:
            raise StoppedError(None if self.asked.is_set() else self.seconds)
        self._after(GRACE_S, self._ring)

    def _due(self) -> None:
        if self.shows_part:
            self._after(GRACE_S, self._ring)
        else:
            self._ring()

    def _ring(self) -> None:
        """Interrupt the command, also one that waits for a file."""
        if self.done:
            return
        self.over = True
        if hasattr(signal, "pthread_kill"):
            signal.pthread_kill(threading.main_thread().ident or 0, signal.SIGINT)
        else:
            _thread.interrupt_main()

    def _after(self, seconds: float, call: Callable[[], None]) -> None:
        timer = threading.Timer(min(seconds, threading.TIMEOUT_MAX), call)
        timer.daemon = True
        self.timers.append(timer)
        timer.start()


_watch: ContextVar[_Watch | None] = ContextVar("watch", default=None)
"""The time of the command line in hand; it is asked for far below where it was read."""


def command_deadline() -> "Deadline":
    """When the command in hand has to come to its end; who asks then shows what there is."""
    from ...solver.program.deadline import NEVER, Deadline

    watch = _watch.get()
    if watch is None:
        return NEVER
    watch.shows_part = True
    return Deadline(watch.ends, watch.clock)


def stop_without_answer() -> NoReturn:
    """End the command in hand, which has nothing to show though its time is over."""
    watch = _watch.get()
    raise StoppedError(None if watch is None or watch.asked.is_set() else watch.seconds)


def with_time_limit(command: Callable[..., object], name: str) -> Callable[..., object]:
    """A command that takes ``--time-limit`` too and keeps it."""
    signature = inspect.signature(command, eval_str=True)

    @wraps(command)
    def run(**given: object) -> object:
        seconds = given.pop("time_limit")
        with _watched(seconds if isinstance(seconds, float) else None):
            return command(**given)

    usual = None if name in NO_LIMIT else USUAL_S
    kind = inspect.Parameter.KEYWORD_ONLY
    limit = inspect.Parameter("time_limit", kind, default=usual, annotation=_Limit)
    made = signature.replace(parameters=[*signature.parameters.values(), limit])
    run.__dict__["__signature__"] = made
    return run


@contextmanager
def _watched(seconds: float | None) -> Iterator[None]:
    """See to it that a command ends in time; who listened to Ctrl-C before does so again after."""
    # Without a limit there is still Ctrl-C, to which a deadline that never comes would be deaf.
    watch = _Watch(seconds, monotonic() + (threading.TIMEOUT_MAX if seconds is None else seconds))
    token = _watch.set(watch)
    if threading.current_thread() is not threading.main_thread():  # nobody can be interrupted
        try:
            yield
        finally:
            _watch.reset(token)
        return
    before = signal.signal(signal.SIGINT, watch.interrupted)
    watch.begin()
    try:
        yield
    finally:
        watch.end()
        signal.signal(signal.SIGINT, before)
        _watch.reset(token)
