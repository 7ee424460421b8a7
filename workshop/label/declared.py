"""What a composition declares: which content stands under which name of an ingredient list."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from ...constraints.market.allergen import entries_of
from ...constraints.market.labelling import Labelling
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.contents import scaled, total
from ...constraints.model.material import Material, Span
from ...constraints.model.substance import Substance

OIL, FRAGRANCE, ALLERGEN = "essential oil", "fragrance", "allergen"
_SCENT = frozenset({FRAGRANCE, ALLERGEN})


@dataclass(frozen=True, slots=True)
class Part:
    """Some of a substance, and the key under which the list declares it."""

    inci: str
    under: str
    share: Span


def sorted_out(
    bench: Bench, composition: Composition, rules: Labelling
) -> tuple[list[Part], dict[str, float]]:
    """What is declared, and what is no ingredient."""
    parts: list[Part] = []
    left_out: dict[str, list[Span]] = {}
    for name in sorted(composition.parts):
        material, share = bench.material(name), composition.parts[name]
        for part in _parts(bench, material, share) if share > 0 else ():
            if _no_ingredient(material, part.inci, rules):
                left_out.setdefault(part.inci, []).append(part.share)
            else:
                parts.append(part)
    return parts, {inci: total(spans).typical for inci, spans in left_out.items()}


def _no_ingredient(material: Material, inci: str, rules: Labelling) -> bool:
    technical = rules.technical_tag in material.tags
    return technical or (inci in rules.residues and inci != _main_content(material))


def _parts(bench: Bench, material: Material, share: float) -> Iterator[Part]:
    """The contents of a material, each under the key that declares it.

    What is carried belongs to its carrier: the moisture of a powder is no water of the bar. The
    constituents of an essential oil or of a fragrance belong to it; where a material holds
    several, they are split in proportion. A material that is a fragrance belongs to it whole, its
    solvent too.
    """
    carriers = _carriers(bench, material)
    whole = FRAGRANCE in material.classes and set(carriers) == {FRAGRANCE}
    for inci, span in _with_what_they_carry(material).items():
        here, carrier = scaled(span, share), material.carried.get(inci)
        if carrier is not None and not whole:
            yield Part(inci, _key(bench.substances[carrier]), here)
        elif whole or _constituent(bench, material, inci, carriers):
            yield from (Part(inci, under, scaled(here, of)) for under, of in carriers.items())
        else:
            yield Part(inci, _key(bench.substances[inci]), here)


def _with_what_they_carry(material: Material) -> dict[str, Span]:
    """The contents, those that carry another and what they carry known together.

    A drier lot of starch holds more starch: what is uncertain is how much of the two is something
    else, so that both together vary no more than the rest of the material does.
    """
    spans = dict(material.contents)
    whole = total(list(spans.values()))
    for carrier in set(material.carried.values()):
        carried = [inci for inci, by in material.carried.items() if by == carrier]
        both = total([material.contents[inci] for inci in (carrier, *carried)])
        rest = Span(*(getattr(whole, end) - getattr(both, end) for end in _ENDS))
        fixed = sum(material.contents[inci].typical for inci in carried)
        spans[carrier] = Span(
            low=max(both.low, whole.typical - rest.high) - fixed,
            typical=material.contents[carrier].typical,
            high=min(both.high, whole.typical - rest.low) - fixed,
        )
        spans.update({inci: _exactly(material.contents[inci].typical) for inci in carried})
    return spans


_ENDS = ("low", "typical", "high")


def _exactly(share: float) -> Span:
    return Span(share, share, share)


def _carriers(bench: Bench, material: Material) -> dict[str, float]:
    """Key -> its part of the scent constituents of a material; the parts add to one."""
    weights: dict[str, float] = {}
    for inci, share in material.typical_contents():
        if _carries(bench, material, inci):
            key = _key(bench.substances[inci])
            weights[key] = weights.get(key, 0.0) + share
    if not weights:
        return {FRAGRANCE if _mostly_scent(bench, material) else _main_content(material): 1.0}
    return {key: weight / sum(weights.values()) for key, weight in weights.items()}


def _carries(bench: Bench, material: Material, inci: str) -> bool:
    """Whether a content is the essential oil or the fragrance compound that the material is.

    A trace of an oil in something else, as in menthol made from it, carries nothing.
    """
    substance = bench.substances[inci]
    is_oil = OIL in material.classes or inci == _main_content(material)
    return _compound(substance) or (OIL in substance.classes and is_oil)


def _mostly_scent(bench: Bench, material: Material) -> bool:
    contents = dict(material.typical_contents())
    scent = sum(share for inci, share in contents.items() if _only_scent(bench.substances[inci]))
    return 2 * scent > sum(contents.values())


def _constituent(
    bench: Bench, material: Material, inci: str, carriers: Mapping[str, float]
) -> bool:
    """Whether a content is part of the material's scent and not an ingredient of its own."""
    substance = bench.substances[inci]
    if _carries(bench, material, inci) or not _SCENT & set(substance.classes):
        return False
    if any(_carries(bench, material, other) for other in material.contents):
        return True
    return _only_scent(substance) and inci not in carriers


def _only_scent(substance: Substance) -> bool:
    """Whether it is in the bar for nothing but its scent."""
    return bool(substance.classes) and set(substance.classes) <= _SCENT


def _compound(substance: Substance) -> bool:
    """Whether it is a fragrance compound: many substances, and so without a registry number."""
    return FRAGRANCE in substance.classes and _only_scent(substance) and not substance.cas


def _key(substance: Substance) -> str:
    """Where a substance is declared: under its own name, or as fragrance."""
    return FRAGRANCE if _only_scent(substance) else substance.inci


def _main_content(material: Material) -> str:
    return max(material.typical_contents(), key=lambda content: content[1])[0]


def declared_under(parts: Sequence[Part], key: str) -> list[Span]:
    """The shares of everything that the list declares under a key."""
    return [part.share for part in parts if part.under == key]


def without_declared_allergens(bench: Bench, composition: Composition) -> tuple[str, ...]:
    """Scented materials of which no single allergen is known."""
    return tuple(
        name
        for name in sorted(composition.parts)
        if composition.parts[name] > 0 and _scent_unknown(bench, bench.material(name))
    )


def _scent_unknown(bench: Bench, material: Material) -> bool:
    carried = {inci: _carries(bench, material, inci) for inci in material.contents}
    known = any(entries_of(bench.substances[inci]) for inci in carried if not carried[inci])
    return any(carried.values()) and not known
