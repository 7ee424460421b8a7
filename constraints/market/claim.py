"""Words on a pack that change what a bar is in the eyes of the law."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from ..data import data_of
from ..values.problem import Source, SourceKind


@dataclass(frozen=True, slots=True)
class Claim:
    """Words that a market takes for more than a cosmetic.

    Args:
        market: "EU", "AU" or "US".
        words: any of them, at the beginning of a word, whatever the case.
        text: what they make of the bar.
        source: where it stands.
    """

    market: str
    words: tuple[str, ...]
    text: str
    source: Source


@cache
def claims(market: str) -> tuple[Claim, ...]:
    """What is packaged for a market, in file order."""
    data = data_of("claims.toml")
    read = data["_defaults"]["read"]
    return tuple(
        Claim(
            market,
            tuple(entry["words"]),
            entry["text"],
            Source(entry["citation"], SourceKind[entry["kind"].upper()], read),
        )
        for name, entry in data.items()
        if not name.startswith("_") and entry["market"] == market
    )


def claimed(market: str, texts: Iterable[str]) -> tuple[tuple[str, Claim], ...]:
    """The texts that make a claim, each with the claim.

    >>> [claim.market for _, claim in claimed("US", ["Bar for oily hair", "Anti-Dandruff bar"])]
    ['US']
    """
    return tuple(
        (text, claim)
        for text in texts
        for claim in claims(market)
        if any(re.search(rf"\b{re.escape(word)}", text, re.IGNORECASE) for word in claim.words)
    )
