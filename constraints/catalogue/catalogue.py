"""The packaged catalogue: classes, substances, materials and market limits.

Files are sliced by their ``["NAME"]`` headers and only the entries asked for are parsed: reading
the whole catalogue would cost more than reading a bench.
"""

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from ..data import data_of, text_of
from ..market.limit import Limit, limit_of, named_by
from ..model.material import Material
from ..model.stores import Entry, Stores
from ..model.substance import Substance
from ..values.names import folded, spelt
from ..values.problem import Problem, Source, SourceKind
from ..values.table import Table
from .entry import Known, material_of, substance_of
from .figure import source_of

_HEADER = re.compile(r'^\["([^"\n]+)"\]', re.MULTILINE)
_DEFAULTS = re.compile(r"^\[_defaults\]\n((?:(?!\[)[^\n]*\n)*)", re.MULTILINE)
_ALSO = re.compile(r"^also = \[([^\]]*)\]", re.MULTILINE)
_TAGS = re.compile(r"^tags = \[([^\]]*)\]", re.MULTILINE)


def substance(name: str) -> Substance:
    """The catalogue's substance of that name.

    Raises:
        KeyError: when it has none.
    """
    return _substance(name)


def material(name: str) -> Material:
    """The catalogue's material of that name.

    Raises:
        KeyError: when it has none.
    """
    return _material(name)


@cache
def substance_names() -> tuple[str, ...]:
    """Every substance of the catalogue, in file order."""
    return tuple(_slices("substances"))


@cache
def material_names() -> tuple[str, ...]:
    """Every material of the catalogue, in file order."""
    return tuple(_slices("materials"))


@cache
def stores() -> Stores:
    """Everything that the catalogue knows; only the entries asked for are parsed."""
    materials, substances = _Asked(material_names, material), _Asked(substance_names, substance)
    return Stores(materials, substances, frozenset(), material_names(), substance_names())


def matching(words: Iterable[str]) -> tuple[Material, ...]:
    """The material named by the words together, else all that match every word, by name.

    A word may stand in a name, a class, a tag or a substance that the material contains.
    """
    asked = tuple(words)
    name = spelt(" ".join(asked), material_names()) or called(" ".join(asked))
    if name is not None:
        return (material(name),)
    wanted = [word.casefold() for word in asked]
    every = (material(each) for each in material_names())
    return tuple(one for one in every if all(word in _searched(one) for word in wanted))


def called(name: str) -> str | None:
    """The material that makers also call so ("distilled water"), or ``None``."""
    return _also().get(folded(name))


@cache
def _also() -> Mapping[str, str]:
    """Other name, folded -> material; no entry is parsed for it."""
    found = ((name, _ALSO.search(text)) for name, text in _slices("materials").items())
    listed = ((name, re.findall(r'"([^"]+)"', match[1])) for name, match in found if match)
    return {folded(other): name for name, others in listed for other in others}


def _searched(one: Material) -> str:
    return " | ".join((one.name, *one.also, *one.classes, *one.tags, *one.contents)).casefold()


@cache
def tags() -> tuple[str, ...]:
    """Every tag that a material of the catalogue bears."""
    lists = _TAGS.findall(_text("materials"))
    return tuple(dict.fromkeys(tag for one in lists for tag in re.findall(r'"([^"]+)"', one)))


@cache
def class_meanings() -> Mapping[str, str]:
    """Class name -> what it means."""
    read = data_of("classes.toml")
    return {name: _meaning(value) for name, value in read.items() if not name.startswith("_")}


@cache
def markets() -> tuple[str, ...]:
    """Every market of which the catalogue knows a limit or a rule for net content."""
    limited = re.findall(r'^market = "([^"]+)"', _text("limits"), re.MULTILINE)
    filled = re.findall(r"^\[([A-Z]{2})\]$", _text("net_content"), re.MULTILINE)
    return tuple(dict.fromkeys((*limited, *filled)))


def refused_markets() -> Mapping[str, str]:
    """Market -> why nothing can be said of it: one whose law was not read."""
    refused: Mapping[str, str] = data_of("labelling.toml")["_refused"]
    return refused


@cache
def limits(market: str) -> tuple[Limit, ...]:
    """The limits that a market sets, in file order; empty for a market without any."""
    found = (_limit(name) for name in _slices("limits"))
    return tuple(limit for limit in found if limit.market == market)


def limits_naming(market: str, substances: Collection[str]) -> tuple[Limit, ...]:
    """Those of a market's limits that name any of the substances; no other entry is parsed."""
    words = [f'"{inci}"' for inci in substances]
    likely = [name for name, text in _slices("limits").items() if any(w in text for w in words)]
    found = (_limit(name) for name in likely)
    return tuple(one for one in found if one.market == market and named_by(one, substances))


@cache
def _limit(name: str) -> Limit:
    return limit_of(_entry("limits", name), _defaults("limits"))


def known() -> Known:
    """What a maker's own entries may refer to."""
    return Known(class_meanings(), frozenset(substance_names()), _UNSTATED, _substance)


_UNSTATED = Source("no source given", SourceKind.MEMORY)


@dataclass(frozen=True, slots=True)
class _Asked(Mapping[str, Entry]):
    """The catalogue's entries, each read when it is first asked for."""

    names: Callable[[], tuple[str, ...]]
    entry: Callable[[str], Entry]

    def __getitem__(self, name: str) -> Entry:
        return self.entry(name)

    def __contains__(self, name: object) -> bool:
        return name in self.names()

    def __iter__(self) -> Iterator[str]:
        return iter(self.names())

    def __len__(self) -> int:
        return len(self.names())


@cache
def _substance(name: str) -> Substance:
    table = _entry("substances", name)
    known = Known(class_meanings(), frozenset(), _defaults("substances"), _substance)
    read = substance_of(table, known)
    return _sound(read, table.problems)


@cache
def _material(name: str) -> Material:
    table = _entry("materials", name)
    names = frozenset(substance_names())
    known = Known(class_meanings(), names, _defaults("materials"), _substance)
    read = material_of(table, known)
    return _sound(read, table.problems)


def _sound(read: Entry, problems: list[Problem]) -> Entry:
    if problems:  # the catalogue is ours: a mistake in it is never the maker's
        raise ValueError(problems)
    return read


def _entry(file: str, name: str) -> Table:
    """One entry of a packaged file as a table."""
    import tomllib

    values = tomllib.loads(_slices(file)[name])[name]
    return Table(f"{file}.toml", (name,), values, {}, [])


@cache
def _defaults(file: str) -> Source:
    """The source of what gives none of its own."""
    import tomllib

    match = _DEFAULTS.search(_text(file))
    values = tomllib.loads(match[1]) if match else {}
    return source_of(Table(f"{file}.toml", ("_defaults",), values, {}, []), _UNSTATED)


@cache
def _slices(file: str) -> Mapping[str, str]:
    """Entry name -> the lines of that entry."""
    text = _text(file)
    heads = list(_HEADER.finditer(text))
    ends = [head.start() for head in heads[1:]] + [len(text)]
    return {head[1]: text[head.start() : end] for head, end in zip(heads, ends, strict=True)}


@cache
def _text(file: str) -> str:
    return text_of(f"{file}.toml")


def _meaning(value: object) -> str:
    return str(value["meaning"]) if isinstance(value, dict) else str(value)
