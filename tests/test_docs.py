"""The documentation tells the truth: its commands print what it shows, and its links lead on."""

import importlib.util
import json
import re
import shlex
import shutil
import subprocess
import sys

import barwright as package
import pytest
from conftest import ROOT

PAGES = ROOT / "docs" / "pages"
CONSOLE = re.compile(r"(```console\n\$ )(.+?)\n(.*?)(```)", re.DOTALL)
LINK = re.compile(r"\]\(([^)#:]+)(?:#[\w-]+)?\)")


@pytest.fixture(scope="module")
def made():
    found = importlib.util.spec_from_file_location("made", ROOT / "docs" / "made.py")
    module = importlib.util.module_from_spec(found)
    found.loader.exec_module(module)
    return module


def written_pages():
    return sorted(PAGES.glob("**/*.md"))


def shown_pages():
    return [path for path in written_pages() if CONSOLE.search(path.read_text("utf-8"))]


@pytest.mark.parametrize("path", shown_pages(), ids=lambda path: path.stem)
def test_a_page_shows_what_its_commands_print(path, barwright, tmp_path, request):
    """One after the other in a folder of their own, with the examples beside them."""
    shutil.copytree(ROOT / "examples", tmp_path / "examples")
    text = path.read_text(encoding="utf-8")

    def printed(match):
        name, *words = shlex.split(match[2])
        assert name == "barwright"
        done = barwright(*words, cwd=tmp_path)
        assert done.returncode == 0, done.stderr
        lines = "".join(f"{line.rstrip()}\n" for line in done.stdout.splitlines())
        return f"{match[1]}{match[2]}\n{lines}{match[4]}"

    true = CONSOLE.sub(printed, text)
    if request.config.getoption("--rewrite"):
        path.write_text(true, encoding="utf-8")
    assert path.read_text(encoding="utf-8") == true


def test_every_command_is_shown_on_some_page():
    from barwright.cli.kit.app import COMMANDS

    shown = {
        shlex.split(match[2])[1]
        for path in written_pages()
        for match in CONSOLE.finditer(path.read_text("utf-8"))
    }
    assert set(COMMANDS) - shown == {
        "schema"
    }  # whose page tells how it is used, not what it prints


def test_every_link_leads_to_a_page_that_is_written_or_made(made):
    for path in written_pages():
        for target in LINK.findall(path.read_text(encoding="utf-8")):
            there = (path.parent / target).resolve()
            name = there.relative_to(PAGES).as_posix()
            assert there.exists() or name in made.PAGES, f"{path.name}: {target}"


def test_the_menu_names_every_page_once(made):
    menu = re.findall(r": ([\w/-]+\.md)$", (ROOT / "docs" / "mkdocs.yml").read_text("utf-8"), re.M)
    there = [path.relative_to(PAGES).as_posix() for path in written_pages()]
    assert sorted(menu) == sorted([*there, *made.PAGES])


def test_the_reference_names_every_kind_of_rule_and_every_key_it_takes(made):
    from barwright.constraints.rules.registry import kinds

    page = made.rule_kinds()
    for one in kinds():
        row = next(line for line in page.splitlines() if one.example in line)
        assert all(f"`{key}`" in row for key in one.keys)


def test_the_reference_shows_the_help_of_every_command(made):
    from barwright.cli.kit.app import COMMANDS

    page = made.commands()
    for name in COMMANDS:
        assert f"## {name}\n" in page
        assert f"Usage: barwright {name}" in page


def test_the_reference_says_of_every_name_of_the_library_what_it_is(made):
    page = made.library()
    for name in package.__all__:
        after = page.partition(f"\n## {name}\n")[2].partition("\n## ")[0]
        assert len(after.strip()) > len(name), name
    assert page.count("```") % 2 == 0


def test_no_page_asks_for_anything_from_elsewhere():
    for path in [*written_pages(), ROOT / "docs" / "mkdocs.yml"]:
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"<script|<link|<img|src=|@import|!\[", text), path
    assert "highlightjs: false" in (ROOT / "docs" / "mkdocs.yml").read_text(encoding="utf-8")


def test_the_files_reference_names_every_key_of_a_brief():
    from barwright.constraints.bench.brief_reading import PRODUCT, SECTIONS

    text = (PAGES / "reference" / "files.md").read_text(encoding="utf-8")
    assert not [key for key in PRODUCT if f"`{key}`" not in text]
    assert not [key for key in SECTIONS if f"`{key} = " not in text and f"[{key}" not in text]


@pytest.mark.skipif(importlib.util.find_spec("mkdocs") is None, reason="comes with barwright[docs]")
def test_the_pages_build_without_a_warning_and_ask_nothing_of_others(tmp_path):
    done = subprocess.run(
        [sys.executable, "-m", "mkdocs", "build", "--strict", "--quiet",
         "--config-file", str(ROOT / "docs" / "mkdocs.yml"), "--site-dir", str(tmp_path / "site")],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    pages = sorted((tmp_path / "site").glob("**/*.html"))
    assert len(pages) > len(written_pages())
    for page in pages:
        text = page.read_text(encoding="utf-8")
        asked = re.findall(r"<(?:script|link|img|iframe)[^>]+(?:src|href)=\"([^\"]+)\"", text)
        assert not [one for one in asked if "//" in one], page
    names = json.loads((tmp_path / "site" / "search" / "search_index.json").read_text("utf-8"))
    assert names["docs"]
