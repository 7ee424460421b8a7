"""What a maker says of the box: the particulars that no formula can give."""

from dataclasses import dataclass

from ..values.told import Told


@dataclass(frozen=True, slots=True, repr=False)
class Box(Told):
    """Particulars of the pack, each empty or ``None`` where the maker gave none.

    Args:
        function: what the product is, such as "solid shampoo".
        responsible: name and address of whoever answers for it.
        origin: country it was made in, where it is imported.
        contact: where an unwanted effect can be reported.
        batch: the batch code.
        best_before: date of minimum durability as printed.
        keeps: how long it keeps from making [months].
        after_opening: how long it keeps in use [months].
        words: claims and other words on the pack.
    """

    function: str = ""
    responsible: str = ""
    origin: str = ""
    contact: str = ""
    batch: str = ""
    best_before: str = ""
    keeps: int | None = None
    after_opening: int | None = None
    words: tuple[str, ...] = ()
