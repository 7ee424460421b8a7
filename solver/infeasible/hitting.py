"""Sets of rules as bits, and the smallest of them that take a rule from each of others."""


def crossed(candidates: list[int], done: list[int], new: int) -> list[int]:
    """The smallest sets that take a rule from a newly found set too.

    Candidates that do already stay; the others take each of its rules in turn, unless that makes
    them include one that stays, or one of those done with, which take one from every set.
    """
    stay = [rules for rules in candidates if rules & new]
    barred = stay + done
    grown = [
        rules | bit
        for rules in candidates
        if not rules & new
        for bit in bits(new)
        if all(other & ~(rules | bit) for other in barred)
    ]
    return stay + grown


def bits(rules: int) -> list[int]:
    """Each rule of a set, as a set of its own."""
    return [1 << k for k in range(rules.bit_length()) if rules >> k & 1]


def size(rules: int) -> tuple[int, list[int]]:
    """Fewest rules first, ties in the order of the program."""
    return rules.bit_count(), [k for k in range(rules.bit_length()) if rules >> k & 1]
