"""One process at a time: a lock on a file, which goes with its process however that ends."""

import errno
import importlib
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Protocol, cast


@contextmanager
def held(path: Path) -> Iterator[None]:
    """Hold a file alone, waiting for as long as another process does; it is made where it lacks.

    Raises:
        OSError: when the file cannot be opened, or its disk knows no locks.
    """
    with path.open("a+b") as file:
        handle = file.fileno()
        try:
            import fcntl
        except ImportError:
            byte = cast("_ByteLocks", importlib.import_module("msvcrt"))
            _lock_byte(byte, handle)
            try:
                yield
            finally:
                _at_first_byte(byte, handle, byte.LK_UNLCK)
        else:
            fcntl.flock(handle, fcntl.LOCK_EX)
            yield


class _ByteLocks(Protocol):
    """What Python's documentation says of locks on Windows: so many bytes from where a file is."""

    LK_LOCK: int
    LK_UNLCK: int

    def locking(self, fd: int, mode: int, nbytes: int, /) -> None:
        """Lock or free so many bytes; one may lie beyond the end of the file."""


_TAKEN = frozenset({errno.EACCES, errno.EDEADLK, getattr(errno, "EDEADLOCK", errno.EDEADLK)})
"""What Windows says after it has tried for ten seconds: another process holds it still."""


def _lock_byte(byte: _ByteLocks, handle: int) -> None:
    """Wait for the first byte: it is tried ten times, a second apart, and then anew."""
    while True:
        try:
            _at_first_byte(byte, handle, byte.LK_LOCK)
        except OSError as error:
            if error.errno not in _TAKEN:
                raise
        else:
            return


def _at_first_byte(byte: _ByteLocks, handle: int, mode: int) -> None:
    """The bytes are counted from where the file is, which writing moves: so begin at the first."""
    os.lseek(handle, 0, os.SEEK_SET)
    byte.locking(handle, mode, 1)
