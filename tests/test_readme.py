"""The README tells the truth: its commands run, print what it shows, and link to what is there."""

import re
import shlex
import subprocess
import sys

import pytest
from conftest import ROOT

CONSOLE = re.compile(r"```console\n\$ (.+?)\n(.*?)\n```", re.DOTALL)
LINK = re.compile(r"\]\(([^)#:]+)\)")


@pytest.fixture(scope="module")
def pages(root):
    return {
        path: path.read_text(encoding="utf-8")
        for path in (root / "README.md", root / "DEVELOPERS.md", root / "examples" / "README.md")
    }


def follows(printed, shown):
    """The shown lines are the printed ones, a lone … standing for any that were left out."""
    at = 0
    skipping = False
    for line in shown:
        if line == "…":
            skipping = True
            continue
        found = printed.index(line, at) if line in printed[at:] else None
        assert found is not None, f"not printed: {line!r}"
        assert skipping or found == at, f"something stands before {line!r}"
        at, skipping = found + 1, False
    assert skipping or at == len(printed)


def shown_commands():
    return CONSOLE.findall((ROOT / "README.md").read_text(encoding="utf-8"))


@pytest.mark.parametrize(("command", "shown"), shown_commands(), ids=lambda text: text[:40])
def test_a_command_prints_what_the_readme_shows(command, shown, barwright):
    name, *words = shlex.split(command)
    assert name == "barwright"
    done = barwright(*words)
    assert done.returncode == 0, done.stderr
    follows([line.rstrip() for line in done.stdout.splitlines()], shown.splitlines())


def test_the_readme_shows_the_three_uses():
    assert [words.split()[1] for words, _ in shown_commands()] == ["cheapest", "replace", "replace"]


def test_the_first_screen_holds_exactly_two_commands_that_do_all_the_setting_up(pages, root):
    text = pages[root / "README.md"]
    first = re.search(r"```sh\n(.*?)```", text, re.DOTALL)
    assert first is not None
    commands = first[1].strip().splitlines()
    assert len(commands) == 2
    assert all("venv .venv" in command and "lock.txt" in command for command in commands)
    assert "barwright cheapest examples/oily-hair --page answer.html" in commands[0]
    assert "'.[page]'" in commands[0]
    assert "pytest" in commands[1]
    assert text[: first.end()].count("\n") < 25


def test_the_examples_page_names_commands_that_run(pages, root, barwright):
    text = pages[root / "examples" / "README.md"]
    lines = [line.strip() for line in text.splitlines() if line.startswith("    barwright ")]
    assert len(lines) >= 8
    for line in lines:
        done = barwright(*shlex.split(line)[1:])
        assert done.returncode == 0, (line, done.stdout, done.stderr)


def library_example(root):
    """The examples of the library, one after the other as one program."""
    text = (root / "docs" / "pages" / "tasks" / "library.md").read_text(encoding="utf-8")
    return "\n".join(re.findall(r"```python\n(.*?)```", text, re.DOTALL))


def test_the_library_example_runs(root, monkeypatch, capsys):
    monkeypatch.chdir(root)
    example = library_example(root)
    assert example.startswith("import barwright")
    exec(compile(example, "library.md", "exec"), {})  # noqa: S102  (our own page)
    assert "EUR/kg" in capsys.readouterr().out


def test_the_library_example_passes_a_strict_look_at_its_types(root, tmp_path):
    example = tmp_path / "example.py"
    example.write_text(library_example(root), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", "--cache-dir", str(tmp_path), str(example)],
        cwd=tmp_path,  # so that the package is found as it is installed
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout


def test_every_link_leads_somewhere(pages):
    for path, text in pages.items():
        for target in LINK.findall(text):
            assert (path.parent / target).exists(), f"{path.name}: {target}"


def test_every_command_stands_in_the_readme(pages, root):
    from barwright.cli.kit.app import COMMANDS

    for name in COMMANDS:
        assert f"`barwright {name} " in pages[root / "README.md"]
