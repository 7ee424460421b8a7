"""What a substance is in the bar for: the law limits a purpose, not a name alone."""

from enum import StrEnum


class Purpose(StrEnum):
    """A purpose that an entry of law tells apart from others."""

    PRESERVATIVE = "preservative"
    DANDRUFF = "against dandruff"
    CONDITIONER = "conditioner"
    FRAGRANCE = "fragrance"
    COLOURANT = "colourant"
    OTHER = "another purpose"
