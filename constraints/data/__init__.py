"""Figures from outside with their sources, other lists kept as data, and the way to read them."""

from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any


def packaged(name: str) -> Traversable:
    """A file of the package's data; its name may lead into a folder, as ``"a/b.toml"``."""
    return files(__name__).joinpath(*name.split("/"))


@cache
def text_of(name: str) -> str:
    """What stands in a packaged file, read once."""
    return packaged(name).read_text(encoding="utf-8")


@cache
def data_of(name: str) -> dict[str, Any]:
    """A packaged TOML file as plain values, parsed once; nobody may change what it gives."""
    import tomllib  # only what needs a figure pays for it

    return tomllib.loads(text_of(name))
