"""Texts with one thing wrong: what hands, editors and disks do to a file."""

import random
import re

FIGURES = (
    b"nan",
    b"inf",
    b"-1",
    b"1e309",
    b"0",
    b"1,500",
    b"0x" + b"f" * 400,
    b"true",
    b"[]",
    b"''",
)
UNITS = (b"%", b"kg", b"g", b"EUR", b"mol/kg", b"degC", b"lb", b"rad", b"kJ/kg/K", b"")
WORDS = (
    "\u0000",
    "ß",
    "\u202e",
    "🧼",
    "\ud7ff",
    '"',
    "[",
    "{",
    "=",
    ";",
    ",",
    "#",
    "\n",
    "\r",
    "'''",
)


def _flip(text: bytes, dice: random.Random) -> bytes:
    at = dice.randrange(len(text))
    return text[:at] + bytes([text[at] ^ (1 << dice.randrange(8))]) + text[at + 1 :]


def _lines(text: bytes, dice: random.Random) -> bytes:
    lines = text.split(b"\n")
    one, other = dice.randrange(len(lines)), dice.randrange(len(lines))
    match dice.randrange(4):
        case 0:
            del lines[one]
        case 1:
            lines.insert(other, lines[one])
        case 2:
            lines[one], lines[other] = lines[other], lines[one]
        case _:
            lines[one] += lines[other]
    return b"\n".join(lines)


def _figure(text: bytes, dice: random.Random) -> bytes:
    """Another figure in place of one that is there."""
    digits = [at for at, byte in enumerate(text) if 48 <= byte <= 57]
    start = end = dice.choice(digits or [0])
    while end < len(text) and text[end] in b"0123456789.":
        end += 1
    return text[:start] + dice.choice(FIGURES) + text[end:]


def _unit(text: bytes, dice: random.Random) -> bytes:
    unit = dice.choice(UNITS[:6])
    return text.replace(b" " + unit, b" " + dice.choice(UNITS), dice.randint(1, 3))


def _cut(text: bytes, dice: random.Random) -> bytes:
    return text[: dice.randrange(len(text))]


def _insert(text: bytes, dice: random.Random) -> bytes:
    at = dice.randrange(len(text))
    word = dice.choice(WORDS) if dice.random() < 0.7 else chr(dice.randrange(0xD000))
    return text[:at] + word.encode() + text[at:]


def off_the_shelf(shelf: bytes, dice: random.Random) -> bytes:
    """A shelf on which some materials are not to be had: sound, and often too little."""
    comment, *lines = shelf.split(b"\n")
    for at in dice.sample(range(len(lines)), min(len(lines), dice.randint(1, 5))):
        cells = lines[at].split(b";")
        if len(cells) > 4 and cells[0] != b"material":
            lines[at] = b";".join((*cells[:4], b"no", *cells[5:]))
    return b"\n".join((comment, *lines))


def too_strict(brief: bytes, dice: random.Random) -> bytes:
    """A brief of which some rules ask for more, or for less: sound, and often too much to keep."""
    head, *rules = brief.split(b"\n[rules.")
    for at in dice.sample(range(len(rules)), min(len(rules), dice.randint(1, 3))):
        rules[at] = _one_sided(rules[at], dice)
    return b"\n[rules.".join((head, *rules))


def _one_sided(rule: bytes, dice: random.Random) -> bytes:
    """A rule with one of its limits moved and the other gone."""
    kept, gone = dice.choice(((b"min", b"max"), (b"max", b"min")))
    if not re.search(rb"(?m)^" + kept + b" = ", rule):
        return rule
    less = re.sub(rb"(?m)^" + gone + b" = .*\n", b"", rule)
    figure = dice.choice((b"0.1", b"1", b"2.5", b"10", b"30", b"60", b"95"))
    moved = rb"\g<1>" + figure
    return re.sub(rb"(?m)^(" + kept + rb' = "?)[0-9.]+', moved, less, count=1)


def mangled(text: bytes, dice: random.Random) -> bytes:
    """A text with one thing wrong."""
    return dice.choice(WAYS)(text or b" ", dice)


WAYS = (_flip, _lines, _figure, _unit, _cut, _insert)
