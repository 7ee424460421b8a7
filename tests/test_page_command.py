"""Linked pages of a bench and of a workshop: each link leads somewhere; what is missing is said."""

import re

import pytest
from barwright.cli.kit.exit import Exit
from barwright.cli.page import command as page_command
from barwright.solver.program.deadline import Deadline
from blends import standalone
from conftest import printed
from test_pages import read

pytest.importorskip("matplotlib")


@pytest.fixture(scope="module")
def workshop(tmp_path_factory):
    """A workshop of one bench with two formulas, one named like a tag, and its pages."""
    folder = tmp_path_factory.mktemp("workshop")
    bench, into = folder / "shampoo & co", folder / "pages"
    standalone(bench)
    formulas = bench / "formulas"
    for path in formulas.glob("*"):
        if path.name != "today.toml":
            path.unlink()
    text = (formulas / "today.toml").read_text(encoding="utf-8")
    named = re.sub('name = ".*"', 'name = "<b>bold</b>"', text)
    (formulas / "<b>.toml").write_text(named, encoding="utf-8")
    wanted = "formula;bars;week\nshampoo & co/formulas/today.toml;12;1\n"
    (folder / "wanted.csv").write_text(wanted, encoding="utf-8")
    (folder / "notes.csv").write_text("day;note\n1;nothing\n", encoding="utf-8")
    said = printed(("page", str(folder), "--into", str(into)))
    return folder, into, said


def test_a_workshop_is_pages_that_lead_to_each_other_by_names_alone(workshop):
    _, into, said = workshop
    files = {path.name for path in into.iterdir()}
    index = read((into / "index.html").read_text(encoding="utf-8"))
    links = [one["href"] for one in index.found("a")]
    assert sorted(links) == sorted(files - {"index.html"})
    assert all(re.fullmatch(r"[a-z0-9-]+\.html", name) for name in files)
    assert said.startswith(f"{len(links)} pages in ")
    for name in files - {"index.html"}:
        page = read((into / name).read_text(encoding="utf-8"))
        out = {one["href"] for one in page.found("a") if not one["href"].startswith("#")}
        assert out == (set() if name.endswith("-sheet.html") else {"index.html"})


def test_every_kind_of_page_is_there(workshop):
    _, into, _ = workshop
    kinds = [path.stem.rsplit("-", 1)[-1] for path in into.iterdir()]
    for kind in ("check", "label", "batch", "sheet"):
        assert kinds.count(kind) == 2
    assert len(list(into.glob("*-curve-*.html"))) == 3
    assert [path.name for path in into.glob("plan-*")] == ["plan-wanted.html"]
    assert "cheapest" in kinds


def test_the_index_says_what_each_page_says_first_and_no_name_is_a_tag(workshop):
    _, into, _ = workshop
    index = read((into / "index.html").read_text(encoding="utf-8"))
    assert "proved the cheapest that keeps its 32 rules." in index.text
    assert "<b>bold</b>: judged by every rule" in index.text
    assert not index.found("b")
    assert index.wrong == []


def test_a_folder_with_something_in_it_is_left_alone(workshop, barwright):
    folder, into, _ = workshop
    before = {path: path.read_bytes() for path in into.iterdir()}
    done = barwright("page", str(folder), "--into", str(into))
    assert (done.returncode, done.stdout) == (2, "")
    assert "a folder that is not empty" in done.stderr
    assert {path: path.read_bytes() for path in into.iterdir()} == before


def test_what_is_wrong_in_any_file_is_said_before_a_page_is_written(barwright, tmp_path):
    bench, into = tmp_path / "bench", tmp_path / "pages"
    standalone(bench)
    bad = 'schema = 1\n[parts]\n"kaolin, whyte" = "100 %"\n'
    (bench / "formulas" / "bad.toml").write_text(bad, encoding="utf-8")
    (bench / "formulas" / "worse.toml").write_text("parts = 3\n", encoding="utf-8")
    done = barwright("page", str(bench), "--into", str(into))
    assert (done.returncode, done.stdout) == (2, "")
    assert "bad.toml" in done.stderr
    assert "worse.toml" in done.stderr
    assert not into.exists()


def test_a_folder_without_a_bench_is_refused(barwright, tmp_path):
    done = barwright("page", str(tmp_path), "--into", str(tmp_path / "pages"))
    assert done.returncode == 2
    assert "a bench or a workshop" in done.stderr


def test_what_there_was_no_time_for_is_said_on_the_index_too(
    workshop, tmp_path, monkeypatch, capsys
):
    folder, _, _ = workshop
    into = tmp_path / "late"
    monkeypatch.setattr(page_command, "command_deadline", lambda: Deadline.after(0.0))
    assert page_command.command(folder, into=into) == Exit.STOPPED
    assert "Not made: " in capsys.readouterr().err
    index = read((into / "index.html").read_text(encoding="utf-8"))
    assert "Not made" in index.text
    assert "the time allowed ran out" in index.text


def test_what_a_bench_says_nothing_of_has_no_page_and_that_is_said(barwright, tmp_path):
    bench, into = tmp_path / "bench", tmp_path / "pages"
    standalone(bench)
    brief = bench / "brief.toml"
    lines = brief.read_text(encoding="utf-8").splitlines(keepends=True)
    kept = [line for line in lines if not line.startswith(("spread", "spread_from"))]
    assert len(kept) < len(lines)
    brief.write_text("".join(kept), encoding="utf-8")
    done = barwright("page", str(bench), "--into", str(into))
    assert done.returncode == 0
    assert "product.spread: nothing; expected: the standard deviation" in done.stderr
    assert (into / "index.html").exists()


def test_a_bench_that_has_no_composition_has_a_page_that_says_so(barwright, tmp_path):
    bench, into = tmp_path / "bench", tmp_path / "pages"
    standalone(bench)
    for path in (bench / "formulas").glob("*"):
        path.unlink()
    brief = bench / "brief.toml"
    text = brief.read_text(encoding="utf-8")
    assert "10.80 EUR/kg" in text
    brief.write_text(text.replace("10.80 EUR/kg", "2 EUR/kg"), encoding="utf-8")
    done = barwright("page", str(bench), "--into", str(into))
    assert done.returncode == 0, done.stderr
    (page,) = into.glob("*-cheapest.html")
    text = read(page.read_text(encoding="utf-8")).text
    assert "What clashes" in text
    assert "Ways out" in text
