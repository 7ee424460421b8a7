"""What a second look stops at, in sentences and as JSON."""

from collections.abc import Iterator, Sequence

from ...constraints.market.second_look import Remark, second_look
from ...constraints.model.brief import Bench, Composition
from ..kit.as_json import source_form
from ..kit.numbers import share

SAID = {
    "liquid to press": "{value} of it is liquid: with more than about {threshold} a dough smears"
    " in the mould instead of pressing",
    "water to press": "{value} of it is water: more than about {threshold} will hardly press, and"
    " dries out crooked",
    "water without a preservative": "there is {value} of water in it and no preservative: it can"
    " spoil",
    "no binder": "only {value} of it is wax or fatty alcohol: with less than about {threshold}"
    " little holds the bar together",
    "little surfactant": "only {value} of it is active surfactant: with less than about"
    " {threshold} it will hardly lather",
    "cationic beside anionic": "there is only {ratio} times as much anionic as cationic: below"
    " about {least} the two can drop out together",
    "dusty powders": "{value} of it is filler: above about {threshold} a bar crumbles",
    "salt": "{value} of it is salt: above about {threshold} a bar sweats in damp air",
    "more than dissolves": "{names} asks for {value} of water to dissolve, and there is"
    " {threshold}: the rest stays as grit, or is stirred in as a powder",
    "does not melt": "{names} melts at {degrees} °C, and a melt is worked at {hottest} °C at most:"
    " it has to dissolve in the fats, or stays in lumps",
    "above the dose advised": "there is {value} of {names}, and at most {threshold} is advised",
    "below the dose advised": "there is {value} of {names}, and at least {threshold} is advised",
    "at the least dose": "{names} stands at the least that is advised, {threshold}: a slip of the"
    " scale is too little",
    "pH may be above its band": "its pH may be as high as {ph}, above the band of the brief"
    " (at most {limit})",
    "pH may be below its band": "its pH may be as low as {ph}, below the band of the brief"
    " (at least {limit})",
}


def look_sentences(bench: Bench, composition: Composition) -> tuple[str, ...]:
    """What a second look stops at, gravest first."""
    return tuple(said_of(second_look(bench, composition)))


def said_of(remarks: Sequence[Remark]) -> Iterator[str]:
    """Remarks in words, without a capital or a stop."""
    for one in remarks:
        yield SAID[one.name].format(
            value=share(one.value),
            threshold=share(one.threshold),
            ratio=f"{one.value:.1f}",
            least=f"{one.threshold:g}",
            names=", ".join(one.names),
            ph=f"{one.value:.2f}",
            limit=f"pH {one.threshold:g}",
            degrees=f"{one.value:.0f}",
            hottest=f"{one.threshold:.0f}",
        )


def look_form(bench: Bench, composition: Composition) -> list[dict[str, object]]:
    """The same as JSON."""
    return [
        {
            "look": one.name,
            "value": one.value,
            "threshold": one.threshold,
            "materials": list(one.names),
            "source": source_form(one.source),
        }
        for one in second_look(bench, composition)
    ]
