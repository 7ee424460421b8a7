"""What goes into the vessel with another, by the maker's word."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from ...constraints.model.brief import Bench
from ...constraints.model.material import Material, Phase


def carriers(bench: Bench, names: Iterable[str]) -> dict[str, str]:
    """Material -> what it is stirred into first, where that is in the batch too."""
    there = tuple(names)
    called = bench.names
    found = {name: bench.material(name).goes_in_with for name in there}
    known = {name: called.get(with_, with_) for name, with_ in found.items() if with_ is not None}
    return {name: into for name, into in known.items() if into in there and into != name}


def alone(bench: Bench, names: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """(material, what it should go in with) where that is not in the batch."""
    there = tuple(names)
    with_ = {name: bench.material(name).goes_in_with for name in there}
    paired = carriers(bench, there)
    return tuple((name, into) for name, into in with_.items() if into and name not in paired)


def root_of(name: str, into: Mapping[str, str]) -> str:
    """What a material goes into the vessel with in the end; itself where it leads in a circle."""
    seen = [name]
    while (further := into.get(seen[-1])) is not None:
        if further in seen:
            return name
        seen.append(further)
    return seen[-1]


def as_added(bench: Bench, names: Iterable[str]) -> dict[str, Material]:
    """Each material with the phase in which it goes in, alone or with another."""
    there = tuple(names)
    into = carriers(bench, there)
    phases: dict[str, Phase] = {name: bench.material(root_of(name, into)).phase for name in there}
    return {name: replace(bench.material(name), phase=phases[name]) for name in there}
