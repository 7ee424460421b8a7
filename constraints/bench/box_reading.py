"""``[box]`` of a brief: what the maker says of the pack."""

import re

from ..model.box import Box
from ..values.table import Table, worded

TEXTS = {
    "function": 'what it is, such as function = "solid shampoo"',
    "responsible": "name and address of whoever answers for the product",
    "origin": "the country it was made in",
    "contact": "where to report an unwanted effect: address, telephone, website",
    "batch": 'the batch code, such as batch = "R-0412"',
    "best_before": 'a date as it is printed, such as best_before = "06/2028"',
}
MONTHS = ("keeps", "after_opening")
_MOST_MONTHS = 240  # no bar keeps for twenty years: a slip


def box_of(section: Table) -> Box:
    """The particulars of the pack; what is wrong is noted in the table's problems."""
    section.only((*TEXTS, *MONTHS, "words"))
    texts = {key: section.text(key, expected) or "" for key, expected in TEXTS.items()}
    return Box(
        **texts,
        keeps=_months(section, "keeps"),
        after_opening=_months(section, "after_opening"),
        words=section.names("words", 'words on the pack, such as ["for oily hair"]'),
    )


def _months(section: Table, key: str) -> int | None:
    written = section.values.get(key)
    if written is None:
        return None
    match = re.fullmatch(r"\s*(\d{1,3})\s*months?\s*", written if isinstance(written, str) else "")
    if match and 0 < int(match[1]) <= _MOST_MONTHS:
        return int(match[1])
    section.refuse(worded(written), f'whole months, such as {key} = "24 months"', key)
    return None
