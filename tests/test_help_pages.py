"""Help tells the truth: the page shown at once is what the commands say of themselves."""

import io
import re
from contextlib import redirect_stdout

import pytest
from barwright.cli.kit.app import COMMANDS, EXAMPLES, application, run
from barwright.cli.kit.entry import overview


def rendered(words, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("TERMINAL_WIDTH", "80")
    out = io.StringIO()
    with redirect_stdout(out), pytest.raises(SystemExit) as left:
        application(words[0] if words[0] in COMMANDS else None)(args=words, prog_name="barwright")
    assert left.value.code == 0
    return "\n".join(line.rstrip() for line in out.getvalue().splitlines()) + "\n"


def test_the_overview_shown_at_once_is_the_commands_own(monkeypatch, request, root):
    page = rendered(["--help"], monkeypatch)
    if request.config.getoption("--rewrite"):
        (root / "cli" / "kit" / "overview.txt").write_text(page, encoding="utf-8")
    else:
        assert overview() == page


def test_every_command_is_in_the_overview(monkeypatch):
    page = rendered(["--help"], monkeypatch)
    for name, line in COMMANDS.items():
        assert f"  {name} " in page
        assert line.split(",")[0][:20] in page


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_that_fits_eighty_columns(name, monkeypatch):
    page = rendered([name, "--help"], monkeypatch)
    assert page.startswith(f"Usage: barwright {name}")
    assert max(map(len, page.splitlines())) <= 80
    assert len(page.split("\n\n")) > 1


def test_plain_barwright_shows_the_overview(barwright):
    for words in ((), ("--help",), ("-h",)):
        done = barwright(*words)
        assert done.returncode == 0
        assert done.stdout.startswith("Usage: barwright")
        assert done.stderr == ""


def test_the_version_is_the_one_in_the_metadata(barwright):
    from importlib.metadata import version

    assert barwright("--version").stdout == f"barwright {version('barwright')}\n"


def test_completion_can_be_asked_for(barwright):
    done = barwright("--show-completion", "bash", SHELL="/bin/bash")
    assert done.returncode == 0
    assert "_BARWRIGHT_COMPLETE" in done.stdout
    words = barwright(
        _BARWRIGHT_COMPLETE="complete_bash", COMP_WORDS="barwright che", COMP_CWORD="1"
    )
    assert "cheapest" in words.stdout.split()
    assert "check" in words.stdout.split()


def test_a_misspelt_command_is_bad_input_with_a_word_of_help(barwright):
    done = barwright("cheepest", "examples/oily-hair")
    assert done.returncode == 2
    assert "cheepest" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("name", [name for name in COMMANDS if name not in {"new", "verify"}])
def test_the_example_of_every_command_is_shown_and_runs(name, monkeypatch, root, tmp_path, capsys):
    page = "".join(rendered([name, "--help"], monkeypatch).split())
    assert "".join(f"Example: barwright {name} {EXAMPLES[name]}".split()) in page
    monkeypatch.chdir(root)
    words = [
        str(tmp_path / word) if word in {"best.toml", "pages"} else word
        for word in EXAMPLES[name].split()
    ]
    with pytest.raises(SystemExit) as left:
        run([name, *words])
    assert left.value.code == 0, capsys.readouterr().err


def test_barwright_alone_says_where_to_begin():
    assert "To begin: barwright new" in overview()


def options_with_a_value():
    import typer.main

    for name, command in typer.main.get_command(application()).commands.items():  # type: ignore[attr-defined]
        for one in command.params:
            if one.param_type_name == "option" and not one.is_flag and one.name != "help":
                yield name, max(one.opts, key=len), one


@pytest.mark.parametrize(
    ("name", "option", "param"),
    list(options_with_a_value()),
    ids=lambda one: one if isinstance(one, str) else "",
)
def test_every_option_that_takes_a_value_shows_one(name, option, param):
    choices = getattr(param.type, "choices", ()) or "|" in (param.metavar or "")
    said = param.help or ""
    assert choices or re.search(r'"[^"]+"|such as \S|, as \S|Example: --', said), said


def test_the_examples_of_options_are_read():
    """Each as its command reads it; what takes none is no longer an option."""
    from barwright.cli.kit.option_examples import EXAMPLES as BY_OPTION
    from barwright.cli.kit.option_examples import OWN

    seen, own = set(), set()
    for name, option, param in options_with_a_value():
        seen.add(option)
        own.add((name, option))
        example = OWN.get((name, option), BY_OPTION.get(option))
        if example is not None and not getattr(param.type, "choices", ()):
            param.type.convert(example.strip('"'), param, None)
    assert set(BY_OPTION) <= seen
    assert set(OWN) <= own


@pytest.mark.parametrize("name", COMMANDS)
def test_the_example_of_a_command_is_broken_between_words_alone(name, monkeypatch):
    page = rendered([name, "--help"], monkeypatch).split("\n\n")[-1]
    assert " ".join(page.split()) == f"Example: barwright {name} {EXAMPLES[name]}"
