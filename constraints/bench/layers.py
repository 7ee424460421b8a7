"""A brief over the one it is like, and over its workshop: several files as one table.

What a brief says itself goes before what it is like, and that before the workshop. Every key keeps
the file and the line it was written in.
"""

import posixpath
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from ..values.names import nearest_names, spelt
from ..values.problem import Problem, Where
from ..values.table import Path, Table, table_of, worded
from ..values.units import shown
from .brief_reading import schema_kept
from .files import BRIEF, WORKSHOP

ABOVE = "../"
"""What stands in the folder above a bench is named by it."""

Values = dict[str, object]
Files = Mapping[str, str | bytes | Problem]
_HEAD = re.compile(rb"\A(?:(?!\[)[^\n]*\n?)*")
_TEXT = "\"([^\"\n]*)\"|'([^'\n]*)'"
_LIKE = re.compile(rf"^\s*like\s*=\s*(?:{_TEXT})".encode(), re.MULTILINE)


def layered_brief(files: Files, leading: frozenset[str], problems: list[Problem]) -> Table | None:
    """The brief of a bench with all that it rests on.

    Args:
        files: contents by name, as seen from the folder of the bench.
        leading: the keys that say what kind a rule is; a rule with one takes another's place whole.
        problems: where what is wrong is noted.
    """
    if BRIEF not in files:
        problems.append(Problem(Where(BRIEF), "no such file", "the brief of the product"))
    tables = tuple(_chain(BRIEF, files, problems, ()))
    if not tables or tables[0].file != BRIEF:
        return None
    merged = None
    for table in reversed((*tables, *_workshop(files, problems))):
        merged = table if merged is None else _over(table, merged, leading)
    return None if merged is None else _without(merged, ("like", "drop"))


def liked(name: str, content: bytes) -> str | None:
    """The file that a brief says it is like, by name as seen from the bench; ``None`` without."""
    head = _HEAD.match(content)
    found = _LIKE.search(head[0]) if head else None
    if found is None:
        return None
    written = (found[1] or found[2] or b"").decode("utf-8", "replace")
    return _beside(name, written)


def _beside(name: str, written: str) -> str:
    """A name written in a file as seen from the bench."""
    return posixpath.normpath(posixpath.join(posixpath.dirname(name), written.replace("\\", "/")))


def _chain(
    name: str, files: Files, problems: list[Problem], before: tuple[str, ...]
) -> Iterator[Table]:
    """A brief, the one it is like, and so on."""
    table = _table(name, files, problems)
    if table is None:
        return
    yield table
    like = table.text("like", 'the brief it starts from, such as like = "../base.toml"')
    if like is None:
        return
    other = _beside(name, like)
    if f"{other}/{BRIEF}" in files:
        other = f"{other}/{BRIEF}"
    if other in (*before, name):
        table.refuse(f"{shown(like)}, which leads back here", "a brief of its own", "like")
    elif other not in files:
        expected = f"a file beside this one; {shown(other)} is not there"
        table.refuse(shown(like), expected, "like")
    else:
        yield from _chain(other, files, problems, (*before, name))


def _workshop(files: Files, problems: list[Problem]) -> Iterator[Table]:
    table = _table(ABOVE + WORKSHOP, files, problems)
    if table is not None:
        yield table


def _table(name: str, files: Files, problems: list[Problem]) -> Table | None:
    content = files.get(name)
    if isinstance(content, Problem):
        problems.append(content)
        return None
    table = None if content is None else table_of(name, content, problems)
    return table if table is not None and schema_kept(table) else None


@dataclass(frozen=True, slots=True)
class _Layer:
    """What one table is laid over.

    Args:
        table: the one below.
        leading: the keys with which a rule takes another's place whole.
        elsewhere: path -> file and lines of what is taken from below; filled as it is laid.
    """

    table: Table
    leading: frozenset[str]
    elsewhere: dict[Path, tuple[str, Mapping[Path, int]]]

    def merged(self, own: Values, base: Values, path: Path) -> Values:
        """One table over another, key by key."""
        made = {}
        for key, value in base.items():
            here, mine = (*path, key), own.get(key)
            if key not in own:
                made[key] = value
                self._take(here, value)
            elif isinstance(mine, dict) and isinstance(value, dict) and self._laid(here, mine):
                made[key] = self.merged(mine, value, here)
            else:
                made[key] = mine
        return {**made, **{key: value for key, value in own.items() if key not in base}}

    def _laid(self, path: Path, own: Values) -> bool:
        """Sections and their entries are laid over one another; what is deeper is one figure."""
        if path[0] == "rules" and len(path) == _DEPTH:
            return not self.leading & own.keys()
        return len(path) <= _DEPTH

    def _take(self, path: Path, value: object) -> None:
        """Note where what is taken stands; below it each key may come from yet another file."""
        self.elsewhere[path] = self.table.home(path)
        if isinstance(value, dict):
            for key, deeper in value.items():
                self._take((*path, key), deeper)


_DEPTH = 2


def _over(own: Table, base: Table, leading: frozenset[str]) -> Table:
    """One table over another: what the first lacks it takes from the second."""
    dropped, rules, below = _dropped(own, base), base.values.get("rules"), dict(base.values)
    if dropped and isinstance(rules, dict):
        below["rules"] = {name: rule for name, rule in rules.items() if name not in dropped}
    layer = _Layer(base, leading, {})
    values = layer.merged(dict(own.values), below, ())
    return replace(own, values=values, elsewhere=layer.elsewhere)


def _dropped(own: Table, base: Table) -> frozenset[str]:
    """The rules of what a brief is like that it does without."""
    rules = base.values.get("rules")
    known = tuple(rules) if isinstance(rules, dict) else ()
    mine = own.values.get("rules")
    found: set[str] = set()
    for name in own.names("drop", 'rules to do without, such as drop = ["argan oil"]'):
        same = spelt(name, known)
        if same is None:
            expected = "a rule of the brief that this one is like, or of the workshop"
            own.refuse(shown(name), expected, "drop", nearest=nearest_names(name, known))
        elif isinstance(mine, dict) and same in mine:
            own.refuse(f"{shown(name)}, which has a rule here", "one or the other", "drop")
        else:
            found.add(same)
    return frozenset(found)


def _without(table: Table, keys: tuple[str, ...]) -> Table:
    if "drop" in table and not table.elsewhere:
        table.refuse(worded(table.values["drop"]), "a like beside it", "drop")
    return replace(table, values={k: v for k, v in table.values.items() if k not in keys})
