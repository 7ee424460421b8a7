"""Pages of the documentation that are made from the package itself, whenever it is built.

``mkdocs build --strict --config-file docs/mkdocs.yml`` calls ``on_files``; the pages themselves are
plain functions, so that tests can read them.
"""

import contextlib
import inspect
import io
import os
import re
from collections.abc import Iterator
from typing import Any

ABOUT = "Made from the package itself.\n"
_SECTION = re.compile(r"^(Args|Returns|Raises|Yields|Attributes):$")
_ENTRY = re.compile(r"^ {4}(\*{0,2}[\w.]+): (.*)$")


def on_files(files: Any, config: Any) -> Any:
    """Add the pages that are made to those that are written."""
    from mkdocs.structure.files import File

    for path, make in PAGES.items():
        files.append(File.generated(config, path, content=make()))
    return files


def rule_kinds() -> str:
    """Every kind of rule with the keys it takes."""
    from barwright.constraints.rules.registry import kinds
    from barwright.constraints.rules.written import COMMON

    rows = [
        f"| `{one.example}` | {one.says} | {_keys(one.keys)} |".replace("\n", " ")
        for one in kinds()
    ]
    return "\n".join(
        [
            "# Kinds of rules",
            "",
            ABOUT,
            "The first line of a rule says what it is about, and so what else it takes. Each takes",
            f"{_keys(COMMON)} besides.",
            "",
            "| first line | what must hold | further keys |",
            "|---|---|---|",
            *rows,
            "",
        ]
    )


def _keys(keys: Any) -> str:
    return " ".join(f"`{key}`" for key in keys) or "none"


def commands() -> str:
    """What each command says of itself."""
    from barwright.cli.kit.app import COMMANDS

    parts = [
        f"## {name}\n\n{line[0].upper()}{line[1:]}.\n\n```text\n{_help(name)}```\n"
        for name, line in COMMANDS.items()
    ]
    return "\n".join(["# Commands", "", ABOUT, *parts])


def _help(name: str) -> str:
    from barwright.cli.kit.app import application

    before = {key: os.environ.get(key) for key in ("COLUMNS", "TERMINAL_WIDTH")}
    os.environ.update(dict.fromkeys(before, "80"))
    out = io.StringIO()
    try:
        with contextlib.redirect_stdout(out), contextlib.suppress(SystemExit):
            application(name)(args=[name, "--help"], prog_name="barwright")
    finally:
        for key, value in before.items():
            os.environ.pop(key)
            if value is not None:
                os.environ[key] = value
    return "\n".join(line.rstrip() for line in out.getvalue().splitlines()) + "\n"


def answers() -> str:
    """Every key of every answer as JSON."""
    from barwright.cli.schema.answers import answers as documents
    from barwright.cli.schema.answers import keys_of, shapes

    documented = [f"## {name}\n\n{_key_rows(keys_of(name))}" for name in documents()]
    shaped = [f"### {name}\n\n{_key_rows(keys)}" for name, keys in shapes().items()]
    return "\n".join([_ANSWERS, *documented, "## Shapes\n", *shaped])


_ANSWERS = f"""# Answers as JSON

{ABOUT}
`--format json` prints one document: `schema` (1), `command`, and the keys below. Numbers are
numbers, in the units that `units` names: shares in kg/kg, costs in money per kg of mix, limits in
the canonical unit of their rule (`written_in` says how the brief wrote it). Keys stay; new ones may
join. Problems (exit 2) and remarks on what merely stands out come on stderr, as documents of their
own. `barwright schema --answer COMMAND` prints the JSON Schema of a document.

A type is text, number, yes (true or false), `[a list]`, `{{a table by name}}` or one of the
[shapes](#shapes). A question mark: it may be null. Keys in italics are not in every answer.
"""


def _key_rows(keys: Any) -> str:
    rows = [
        f"| {_named(one)} | `{one.type}` | {_inline(one.says)} |".replace("\n", " ") for one in keys
    ]
    return "\n".join(["| key | type | meaning |", "|---|---|---|", *rows, ""])


def _named(key: Any) -> str:
    return f"`{key.name}`" if key.always else f"*`{key.name}`*"


def library() -> str:
    """What ``import barwright`` gives, each name with its own words."""
    import barwright

    parts = [_entry(name, getattr(barwright, name)) for name in barwright.__all__]
    return "\n".join(["# Library", "", ABOUT, *parts])


def _entry(name: str, thing: Any) -> str:
    if not callable(thing):
        return f"## {name}\n\n`{name}`: {', '.join(map(str, thing))}.\n"
    said = inspect.getdoc(thing) or ""
    kind = "class " if inspect.isclass(thing) else ""
    lines = [f"## {name}", "", "```python", f"{kind}{name}{_signature(thing)}", "```", ""]
    lines.extend(_marked_down(said))
    if kind:
        lines.extend(_methods(thing))
    return "\n".join([*lines, ""])


def _signature(thing: Any) -> str:
    """The parameters of a call, one a line where they are long."""
    if inspect.isclass(thing) and issubclass(thing, Exception):
        return "(message)"
    signature = inspect.signature(thing)
    parts = []
    for one in signature.parameters.values():
        if one.kind is inspect.Parameter.KEYWORD_ONLY and "*" not in parts:
            parts.append("*")
        parts.append(_short(str(one)))
    given = _short(str(signature.replace(parameters=()))[2:])
    plain = f"({', '.join(parts)}){given}"
    lines = "".join(f"    {part},\n" for part in parts)
    return plain if len(plain) <= _WIDEST else f"(\n{lines}){given}"


_WIDEST = 72  # signs of a signature on one line


def _short(written: str) -> str:
    """An annotation or a default without the modules and addresses in it."""
    plain = re.sub(
        r"(?:barwright|collections|fractions|datetime|pathlib)(?:\.\w+)*\.(\w+)", r"\1", written
    )
    return re.sub(r"<[^>]*>|\w+\([^()]*<[^>]*>[^()]*\)", "…", plain)


def _methods(thing: Any) -> Iterator[str]:
    """Methods and properties of a class, a line each."""
    lines = []
    for name, value in vars(thing).items():
        plain = value.fget if isinstance(value, property) else getattr(value, "__func__", value)
        if name.startswith("_") or not inspect.isfunction(plain) or not plain.__doc__:
            continue
        line = _inline((inspect.getdoc(plain) or "").split("\n\n")[0].replace("\n", " "))
        lines.append(f"- `{name}{'' if isinstance(value, property) else '()'}`: {line}")
    if lines:
        yield from ("", "**Methods and properties**", "", *lines)


def _marked_down(said: str) -> Iterator[str]:
    """A docstring as Markdown: sections as lists, formulas and examples as they stand."""
    listing = fenced = False
    for line in said.splitlines():
        code = line.startswith(("    ", ">>>", "...")) and not listing
        if code != fenced and (code or line.strip()):
            yield "```" if not code else "\n```text"
            fenced = code
        section, entry = _SECTION.match(line), _ENTRY.match(line)
        if section:
            listing = True
            yield f"**{_SECTIONS.get(section[1], section[1])}**\n"
        elif listing and entry:
            yield f"- `{entry[1]}`: {_inline(entry[2])}"
        elif listing and line.strip():
            yield f"  {_inline(line.strip())}"
        else:
            yield line if code else _inline(line)
    if fenced:
        yield "```"


_SECTIONS = {"Args": "Given"}


def _inline(line: str) -> str:
    r"""Words with their code marked, and no sign that Markdown or a browser would take for its own.

    >>> _inline("shares ``x`` <= `y` [kg/kg]")
    'shares `x` &lt;= `y` \\[kg/kg]'
    """
    parts = re.split(r"(`+[^`]+`+)", line)
    return "".join(
        f"`{part.strip('`')}`"
        if part.startswith("`")
        else part.replace("<", "&lt;").replace("[", "\\[").replace("*", "\\*").replace("_", "\\_")
        for part in parts
    )


PAGES = {
    "reference/rule-kinds.md": rule_kinds,
    "reference/commands.md": commands,
    "reference/library.md": library,
    "reference/json.md": answers,
}
"""Where each page that is made stands, and what makes it."""
