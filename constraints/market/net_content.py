"""What a market asks of the net content of a pack, read from the packaged table."""

from dataclasses import dataclass
from functools import cache
from math import ceil, inf

from ..data import data_of
from ..values.problem import Source, SourceKind


@dataclass(frozen=True, slots=True)
class NetContent:
    """The net-content rules of one market. On average a pack holds what is declared on it.

    Args:
        market: "EU", "AU" or "US".
        shortfalls: rows (over [kg], up to and including [kg], share of the declared mass or
            ``None``, fixed mass [kg] or ``None``), ascending.
        round_up_to: a shortfall worked out from a share is rounded up to this step [kg]; 0: not.
        few: greatest share of packs short by more than the tolerable shortfall; ``None`` where the
            market does not ask.
        none_times: no pack is short by more than this many times the tolerable shortfall.
        note: what a maker should know of it.
        caution: what it does not replace.
        source: where the figures come from.
    """

    market: str
    shortfalls: tuple[tuple[float, float, float | None, float | None], ...]
    round_up_to: float
    few: float | None
    none_times: float
    note: str
    caution: str
    source: Source

    def tolerable_shortfall(self, declared: float) -> float | None:
        """The tolerable shortfall of a pack [kg] for a declared mass [kg].

        ``None`` where the market's table has no row for it.

        >>> round(net_content("EU").tolerable_shortfall(0.045), 4)
        0.0041
        """
        for over, up_to, share, mass in self.shortfalls:
            if over < round(declared, 9) <= up_to:
                return mass if share is None else self._rounded_up(share * declared)
        return None

    def _rounded_up(self, shortfall: float) -> float:
        if self.round_up_to == 0:
            return shortfall
        # Steps are counted to a thousandth, so that float noise never rounds 4.5 g up to 4.6 g.
        return ceil(round(shortfall / self.round_up_to, 3)) * self.round_up_to


@dataclass(frozen=True, slots=True)
class Practice:
    """What makers do where no market rules.

    Args:
        flat_margin: mass pressed for each mass declared by makers who use a flat margin [kg/kg].
        least_weighings: fewest weighings from which a standard deviation is taken.
        few_weighings: below this number the spread is poorly known.
        risk: chance that a batch does not meet a rule, where the maker names none.
        source: where the figures come from.
    """

    flat_margin: float
    least_weighings: int
    few_weighings: int
    risk: float
    source: Source


def markets_with_net_content() -> tuple[str, ...]:
    """The markets whose net-content rules are packaged."""
    return tuple(
        name for name, entry in data_of("net_content.toml").items() if "shortfall" in entry
    )


@cache
def net_content(market: str) -> NetContent:
    """The net-content rules of a market.

    Raises:
        KeyError: for a market outside ``markets_with_net_content``.
    """
    entry, defaults = data_of("net_content.toml")[market], data_of("net_content.toml")["_defaults"]
    return NetContent(
        market=market,
        shortfalls=tuple(_shortfall(row) for row in entry["shortfall"]),
        round_up_to=entry.get("round_up_to_g", 0) / 1000,
        few=entry["few_percent"] / 100 if "few_percent" in entry else None,
        none_times=entry["none_times"],
        note=entry["note"],
        caution=defaults["caution"],
        source=_source(entry, defaults["read"]),
    )


@cache
def practice() -> Practice:
    """What makers do where no market rules."""
    data = data_of("net_content.toml")
    margin, spread = data["flat_margin"], data["spread"]
    return Practice(
        flat_margin=margin["pressed_g"] / margin["declared_g"],
        least_weighings=spread["least_weighings"],
        few_weighings=spread["few_weighings"],
        risk=data["risk"]["percent"] / 100,
        source=_source(margin, ""),
    )


def _shortfall(row: dict[str, float]) -> tuple[float, float, float | None, float | None]:
    up_to = row["to_g"] / 1000 if row["to_g"] < inf else inf
    return (
        row["over_g"] / 1000,
        up_to,
        row["percent"] / 100 if "percent" in row else None,
        row["grams"] / 1000 if "grams" in row else None,
    )


def _source(entry: dict[str, str], read: str) -> Source:
    return Source(entry["source"], SourceKind[entry["kind"].upper()], read)
