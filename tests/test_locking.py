"""A lock is held by one process at a time, on Windows too, as the documentation says of it."""

import errno
import os
import sys
import threading
from types import SimpleNamespace

import pytest
from barwright.constraints.bench.book_keeping import read_book
from barwright.constraints.bench.locking import held


class Bytes(SimpleNamespace):
    """Locks on bytes as Python documents them for Windows: from where the file is, ten tries.

    https://docs.python.org/3/library/msvcrt.html: LK_LOCK tries ten times, a second apart, and then
    raises OSError; LK_UNLCK frees bytes that must have been locked.
    """

    LK_UNLCK, LK_LOCK = 0, 1

    def __init__(self, refusals: int = 0, code: int = errno.EACCES) -> None:
        super().__init__(locked=set(), refusals=refusals, code=code, tried=0)

    def locking(self, handle: int, mode: int, count: int) -> None:
        first = os.lseek(handle, 0, os.SEEK_CUR)
        place = (os.fstat(handle).st_ino, first, count)
        if mode == self.LK_UNLCK:
            if place not in self.locked:
                raise OSError(errno.EACCES, "not locked")
            self.locked.remove(place)
            return
        self.tried += 1
        if self.refusals or place in self.locked:
            self.refusals = max(0, self.refusals - 1)
            raise OSError(self.code, "locking violation")
        self.locked.add(place)


@pytest.fixture
def windows(monkeypatch):
    def made(refusals: int = 0, code: int = errno.EACCES) -> Bytes:
        fake = Bytes(refusals, code)
        monkeypatch.setitem(sys.modules, "fcntl", None)
        monkeypatch.setitem(sys.modules, "msvcrt", fake)
        return fake

    return made


def test_the_first_byte_is_locked_and_freed_wherever_the_file_stands(windows, tmp_path):
    fake, path = windows(), tmp_path / ".lock"
    path.write_bytes(b"what was written before")  # opened to append, a file stands at its end
    with held(path):
        assert [place[1:] for place in fake.locked] == [(0, 1)]
    assert fake.locked == set()


@pytest.mark.parametrize("code", [errno.EACCES, errno.EDEADLK])
def test_a_lock_that_another_holds_is_waited_for(windows, tmp_path, code):
    fake = windows(refusals=3, code=code)
    with held(tmp_path / ".lock"):
        assert fake.tried == 4


def test_what_is_no_lock_of_another_is_not_waited_for(windows, tmp_path):
    windows(refusals=1, code=errno.EBADF)
    with pytest.raises(OSError, match="violation"), held(tmp_path / ".lock"):
        pytest.fail("it was not held")


def test_a_failure_inside_frees_the_lock(windows, tmp_path):
    fake = windows()
    with pytest.raises(ZeroDivisionError), held(tmp_path / ".lock"):
        raise ZeroDivisionError
    assert fake.locked == set()


def test_two_that_want_it_have_it_one_after_the_other(windows, tmp_path):
    windows()
    inside, seen = [], []

    def work(name: str) -> None:
        for _ in range(20):
            with held(tmp_path / ".lock"):
                inside.append(name)
                seen.append(len(inside))
                inside.pop()

    threads = [threading.Thread(target=work, args=(name,)) for name in "ab"]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert seen == [1] * 40


def test_the_book_is_read_with_such_a_lock(windows, tmp_path):
    fake = windows()
    (tmp_path / "book").mkdir()
    assert read_book(tmp_path) == ()
    assert fake.tried == 1
    assert fake.locked == set()
