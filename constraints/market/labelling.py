"""What a market asks of the box, read from the packaged table."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from ..data import data_of
from ..values.problem import Source, SourceKind
from ..values.units import Dimension, Misread, parse


@dataclass(frozen=True, slots=True)
class Labelling:
    """The labelling rules of one market.

    Args:
        market: "EU", "AU" or "US".
        heading: the word before the list of ingredients.
        any_order_below: share below which ingredients may stand in any order [kg/kg].
        exactly_is_ordered: whether exactly that share belongs to the ordered ones.
        fragrance: the word under which fragrance is declared.
        colours_by_number: whether colourants bear their colour index number.
        names: catalogue name -> the market's own name.
        plants: Latin name of a plant -> its common name, by which what comes from it is called.
        net: form of the net content, with ``{grams}`` and, where it is asked, ``{ounces}``.
        net_packed: the same where it is that of the pack when made up.
        grams_in_ounce: [g]; 0 where the market wants no ounces.
        particulars: what has to stand on the pack, and what fills it: "net", "precautions",
            "ingredients", a particular of the maker's own or nothing.
        longest_dated: a bar that keeps longer than this bears how long it keeps once opened and
            no date [months]; 0 where the market asks for neither.
        residues: substances that come as impurities of a raw material.
        technical_tag: tag of materials that are gone from the finished bar.
        cautions: what a maker writes beyond the law.
        notes: what a maker should know.
        replaces_not: what a list of ingredients does not stand in for.
        no_claims: why no effect is claimed.
        caution: what the figures are.
        source: where the rules come from.
    """

    market: str
    heading: str
    any_order_below: float
    exactly_is_ordered: bool
    fragrance: str
    colours_by_number: bool
    names: Mapping[str, str]
    plants: Mapping[str, str]
    net: str
    net_packed: str
    grams_in_ounce: float
    particulars: tuple[tuple[str, str], ...]
    longest_dated: int
    residues: frozenset[str]
    technical_tag: str
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    replaces_not: tuple[str, ...]
    no_claims: str
    caution: str
    source: Source

    def name_of(self, inci: str) -> str:
        """The market's own name of a substance.

        >>> labelling("US").name_of("Cocos Nucifera Oil")
        'Coconut (Cocos Nucifera) Oil'
        """
        if inci in self.names:
            return self.names[inci]
        for plant in sorted(self.plants, key=len, reverse=True):
            if inci.startswith(f"{plant} "):
                return f"{self.plants[plant]} ({plant}){inci.removeprefix(plant)}"
        return inci

    def declared_mass(self, mass: float) -> float:
        """The mass that a pack has to hold for what is printed on it [kg].

        Where two units are printed, each rounded, the larger is the one that is enforced.
        """
        if not self.grams_in_ounce:
            return mass
        return max(mass, self.ounces(mass) * self.grams_in_ounce / 1000)

    def ounces(self, mass: float) -> float:
        """A mass [kg] as printed in ounces [oz]; 0 where the market wants none."""
        return round(mass * 1000 / self.grams_in_ounce, 2) if self.grams_in_ounce else 0.0


def markets_with_labelling() -> tuple[str, ...]:
    """The markets whose labelling rules are packaged."""
    return tuple(name for name in data_of("labelling.toml") if not name.startswith("_"))


@cache
def labelling(market: str) -> Labelling:
    """The labelling rules of a market.

    Raises:
        KeyError: for a market outside ``markets_with_labelling``.
    """
    entry, shared = data_of("labelling.toml")[market], data_of("labelling.toml")["_defaults"]
    return Labelling(
        market=market,
        heading=entry["heading"],
        any_order_below=_share(entry["any_order_below"]),
        exactly_is_ordered=entry["exactly"] == "ordered",
        fragrance=entry["fragrance"],
        colours_by_number=entry["colours"] == "CI number",
        names=entry["names"],
        plants=entry.get("plants", {}),
        net=entry["net"],
        net_packed=entry.get("net_packed", entry["net"]),
        grams_in_ounce=entry.get("grams_in_ounce", 0.0),
        particulars=tuple((one["what"], one.get("filled", "")) for one in entry["particulars"]),
        longest_dated=entry.get("longest_dated_months", 0),
        residues=frozenset(shared["residues"]),
        technical_tag=shared["technical_tag"],
        cautions=tuple(shared["cautions"]),
        notes=tuple(entry["notes"]),
        replaces_not=tuple(entry["replaces_not"]),
        no_claims=shared["no_claims"],
        caution=shared["caution"],
        source=Source(entry["source"], SourceKind[entry["kind"].upper()], shared["read"]),
    )


def _share(text: str) -> float:
    share = parse(text, Dimension.SHARE)
    if isinstance(share, Misread):
        raise TypeError(share)
    return share
