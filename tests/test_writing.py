"""No file is lost: whatever is in the way, and whenever a command is killed."""

import os
import signal
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest
from barwright.constraints.bench.writing import write_atomically

FORMULA = 'schema = 1\n\n[parts]\n"a" = "100 %"\n'
STARTED = ("brief.toml", "formulas", "materials.toml", "shelf.csv")

posix = pytest.mark.skipif(os.name == "nt", reason="links, modes and pipes as POSIX has them")


def _names(folder: Path) -> list[str]:
    return sorted(one.name for one in folder.iterdir())


def _refused(path: Path, text: str = FORMULA, *, replace: bool = True) -> str:
    problem = write_atomically(path, text, replace=replace)
    assert problem is not None
    return problem.found


def test_a_drive_without_links_is_written_to_and_nothing_overwritten(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def unlinked(*_: object, **__: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", unlinked)
    assert write_atomically(tmp_path / "a.toml", FORMULA) is None
    assert _refused(tmp_path / "a.toml", "other", replace=False) == "a file that is there already"
    assert (tmp_path / "a.toml").read_text(encoding="utf-8") == FORMULA
    assert _names(tmp_path) == ["a.toml"]


@pytest.mark.parametrize("name", ["brief.toml", "shelf.csv", "materials.toml"])
def test_what_a_bench_is_read_from_is_never_replaced(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_text("mine", encoding="utf-8")
    assert _refused(tmp_path / name) == "a file that a bench is read from"
    assert _refused(tmp_path / "." / name) == "a file that a bench is read from"
    assert (tmp_path / name).read_text(encoding="utf-8") == "mine"


@posix
def test_a_link_to_what_a_bench_is_read_from_is_no_way_round(tmp_path: Path) -> None:
    (tmp_path / "brief.toml").write_text("mine", encoding="utf-8")
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "a.toml").symlink_to(tmp_path / "brief.toml")
    assert _refused(tmp_path / "out" / "a.toml") == "a file that a bench is read from"


@pytest.mark.parametrize(
    ("name", "held"),
    [
        ("today.toml", FORMULA),
        ("readings.toml", 'schema = 1\npoints = [["0 g", 8.9]]\n'),
        ("today.csv", "material;amount\na;1 g\n"),
    ],
)
def test_what_a_bench_reads_is_replaced_by_its_own_kind_alone(
    tmp_path: Path, name: str, held: str
) -> None:
    (tmp_path / name).write_text(held, encoding="utf-8")
    assert _refused(tmp_path / name, "<svg></svg>") == "a file of another kind"
    assert write_atomically(tmp_path / name, held + "\n", replace=True) is None


@posix
def test_a_file_that_is_replaced_keeps_its_mode_and_a_link_leads_to_it(tmp_path: Path) -> None:
    held = tmp_path / "held.txt"
    held.write_text("old", encoding="utf-8")
    held.chmod(0o640)
    link = tmp_path / "link.txt"
    link.symlink_to(held)
    assert write_atomically(link, "new", replace=True) is None
    assert link.is_symlink()
    assert held.read_text(encoding="utf-8") == "new"
    assert stat.S_IMODE(held.stat().st_mode) == 0o640


@posix
def test_devices_pipes_and_loops_are_left_alone(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    assert _refused(tmp_path / "pipe") == "a device or a pipe"
    assert _refused(Path("/dev/null")) == "a device or a pipe"
    assert _refused(tmp_path / "loop") == "a link that leads to itself"
    assert stat.S_ISFIFO((tmp_path / "pipe").stat().st_mode)


@pytest.mark.parametrize("replace", [False, True])
@pytest.mark.parametrize("name", ["n" * 300, "file/a.toml", "no/a.toml", "nul\0.toml", "x" * 5000])
def test_a_name_that_cannot_be_is_told_in_words(tmp_path: Path, name: str, replace: bool) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    found = _refused(tmp_path / name, replace=replace)
    assert found
    assert "Errno" not in found
    assert _names(tmp_path) == ["file"]


@posix
def test_a_name_as_long_as_names_may_be_is_written(tmp_path: Path) -> None:
    assert write_atomically(tmp_path / ("n" * 255), "x") is None
    assert _names(tmp_path) == ["n" * 255]


@posix
@pytest.mark.skipif(
    hasattr(os, "geteuid") and os.geteuid() == 0, reason="nothing is closed to root"
)
def test_a_closed_folder_is_told_in_words(tmp_path: Path) -> None:
    closed = tmp_path / "closed"
    closed.mkdir(0o500)
    assert _refused(closed / "a.toml") == "permission denied"


def test_a_folder_that_closes_is_told_in_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def closed(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", closed)
    assert _refused(tmp_path / "a.toml") == "permission denied"


@posix
def test_the_draft_of_a_killed_command_goes_and_that_of_one_at_work_stays(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", "import os; print(os.getpid())"],
        capture_output=True,
        text=True,
        check=True,
    )
    dead = tmp_path / f".barwright.{int(done.stdout)}.aa.part"
    alive = tmp_path / f".barwright.{os.getppid()}.bb.part"
    for draft in (dead, alive):
        draft.write_text("half", encoding="utf-8")
    assert write_atomically(tmp_path / "a.toml", "x") is None
    assert not dead.exists()
    assert alive.exists()


WRITE = """
import sys
from pathlib import Path
from barwright.constraints.bench.writing import write_atomically
text = sys.argv[2] * 200_000
print("ready", flush=True)
while True:
    write_atomically(Path(sys.argv[1]), text, replace=True)
"""


@posix
def test_a_file_whose_writing_is_killed_is_whole(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    whole = {"a" * 200_000, "b" * 200_000}
    path.write_text("a" * 200_000, encoding="utf-8")
    for turn in range(12):
        writer = subprocess.Popen(
            [sys.executable, "-c", WRITE, str(path), "ab"[turn % 2]], stdout=subprocess.PIPE
        )
        assert writer.stdout is not None
        writer.stdout.readline()
        time.sleep(0.003 * turn)
        writer.send_signal(signal.SIGKILL)
        writer.wait()
        writer.stdout.close()
        assert path.read_text(encoding="utf-8") in whole
    assert write_atomically(path, "x", replace=True) is None
    assert _names(tmp_path) == ["a.txt"]


@posix
def test_a_new_bench_killed_at_any_moment_can_be_begun_again(tmp_path: Path, barwright) -> None:
    words = [sys.executable, "-m", "barwright.cli", "new", "bench"]
    for moment in (0.05, 0.12, 0.16, 0.2, 0.24, 0.3):
        started = subprocess.Popen(
            words, cwd=tmp_path, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        time.sleep(moment)
        started.kill()
        started.wait()
        done = barwright("new", "bench", cwd=tmp_path)
        assert done.returncode == 0, done.stderr
        assert tuple(_names(tmp_path / "bench")) == STARTED


@pytest.mark.parametrize("stop", range(1, 4))
def test_a_new_bench_of_which_some_files_are_there_is_finished(
    tmp_path: Path, barwright, stop: int
) -> None:
    assert barwright("new", "bench", cwd=tmp_path).returncode == 0
    for name in STARTED[stop:]:
        if name != "formulas":
            (tmp_path / "bench" / name).unlink()
    (tmp_path / "bench" / "brief.toml").write_text("", encoding="utf-8")
    assert barwright("new", "bench", cwd=tmp_path).returncode == 0
    assert barwright("check", "bench", "bench/formulas/first.toml", cwd=tmp_path).returncode == 0
