"""Names as makers write them: the one place that says which known name a written one means.

Case and spaces never count. On the command line a part of a name will do where only one known name
has it; in a file a name is written out, so that a new material never changes what an old file says.
"""

from collections.abc import Collection, Iterable, Mapping
from functools import lru_cache

from .problem import InputError, Problem, Problems, Where, shown


class Called(dict[str, str]):
    """Every name by which something may be called, short ones too -> the name that is meant."""


def meant_by(name: str, known: Iterable[str]) -> str:
    """What one of some known names means: itself, or what is called so."""
    return known[name] if isinstance(known, Called) else name


def folded(name: str) -> str:
    """A name as names are compared: no difference of case or of spaces counts.

    >>> folded("Cetearyl   Alcohol ")
    'cetearyl alcohol'
    """
    return " ".join(name.split()).casefold()


def spelt(name: str, known: Iterable[str]) -> str | None:
    """The known name that ``name`` is, but for case and spaces; ``None`` where there is none.

    Of ``Called`` names it is the one that is meant.
    """
    names = tuple(known)
    own = name if name in names else _by_fold(names).get(folded(name))
    return known[own] if own is not None and isinstance(known, Called) else own


@lru_cache(maxsize=32)
def _by_fold(names: tuple[str, ...]) -> Mapping[str, str]:
    """Folded name -> name; of two that fold alike, the first."""
    return {folded(name): name for name in reversed(names)}


def meant(name: str, known: Iterable[str]) -> tuple[str, ...]:
    """The known names that ``name`` may mean: itself, else all that have every word of it.

    A word of it may be the beginning of a word, and signs between words don't count, so that a name
    with commas and per cent signs can be written without them.

    >>> meant("needles", ["sodium coco-sulfate, needles", "kaolin, white"])
    ('sodium coco-sulfate, needles',)
    >>> meant("behen 25", ["behentrimonium methosulfate, 25 % grade", "kaolin, white"])
    ('behentrimonium methosulfate, 25 % grade',)
    """
    own = spelt(name, known)
    if own is not None:
        return (own,)
    wanted = _words(name)
    if not wanted:
        return ()
    found = (
        each
        for each in known
        if all(any(word.startswith(part) for word in _words(each)) for part in wanted)
    )
    return tuple(
        dict.fromkeys(known[each] if isinstance(known, Called) else each for each in found)
    )


@lru_cache(maxsize=1024)
def _words(name: str) -> tuple[str, ...]:
    plain = "".join(sign if sign.isalnum() else " " for sign in name.casefold())
    return tuple(plain.split())


def nearest_names(word: str, known: Iterable[str], most: int = 3) -> tuple[str, ...]:
    """Known names a misspelt ``word`` may have meant, best first.

    >>> nearest_names("glycerine", ["glycerin, vegetable", "Glycerin", "water"])
    ('Glycerin', 'glycerin, vegetable')
    """
    import difflib  # only a mistake pays for it

    names = {name.casefold(): name for name in known}
    wanted = word.casefold()
    close = difflib.get_close_matches(wanted, names, n=most, cutoff=0.6)
    within = (
        sorted((name for name in names if wanted[:5] in name), key=len) if len(wanted) > 4 else []
    )
    return tuple(names[name] for name in dict.fromkeys([*close, *within]))[:most]


def asked_name(where: Where, name: str, known: Iterable[str], expected: str) -> str | Problem:
    """The one known name that ``name`` means, or the problem with it.

    Args:
        where: the place it was written.
        name: as written.
        known: names to choose from.
        expected: what it should be, as "a material on the shelf".
    """
    known = known if isinstance(known, Collection) else tuple(known)  # it is read twice
    found = meant(name, known)
    if len(found) == 1:
        return found[0]
    if found:
        said = f"{shown(name)}, which may be {len(found)} of them"
        return Problem(where, said, f"{expected}, with more of its name", found[:5])
    return Problem(where, shown(name) or "nothing", expected, nearest_names(name, known))


def the_name(where: Where, name: str, known: Iterable[str], expected: str) -> str:
    """The one known name that ``name`` means.

    Raises:
        InputError: when none or several do.
    """
    found = asked_name(where, name, known, expected)
    if isinstance(found, Problem):
        raise InputError(Problems((found,)))
    return found


def shortened(name: str, most: int) -> str:
    """A name that fits: the middle goes, for the grade stands at the end.

    >>> shortened("behentrimonium methosulfate, 25 % grade", 30)
    'behentrimonium me…, 25 % grade'
    """
    if len(name) <= most:
        return name
    end = (most - 1) * 4 // 10 + 1
    return f"{name[: most - 1 - end]}…{name[-end:]}"
