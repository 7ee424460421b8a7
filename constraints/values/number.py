"""A figure as it was written -> the numbers it can stand for, and its unit spelt plainly."""

import re
from collections.abc import Iterator
from math import isfinite

_SPELT = str.maketrans(
    {
        "\u00a0": " ",  # no-break space
        "\u202f": " ",  # narrow no-break space
        "\u2009": " ",  # thin space
        "\u2212": "-",  # minus sign
        "\u00b5": "u",  # micro sign
        "\u03bc": "u",  # Greek mu
        "\u00b7": "*",  # middle dot
        "\u22c5": "*",  # dot operator
        "\u00b2": "^2",
        "\u00b3": "^3",
        "\u2030": "permille",
        "℃": "degC",
        "℉": "degF",
        "€": "EUR",
        "£": "GBP",
        "°": "deg",
    }
)
_FIGURE = re.compile(r"([+-]?[0-9][0-9.,]*(?:[eE][+-]?[0-9]+)?|[+-]?\.[0-9]+)\s*(.*)", re.DOTALL)
_CURRENCY_FIRST = re.compile(r"([A-Z]{3}|[A-Z]{0,2}\$|[¥₹₩₺₴])\s*([+-]?[0-9].*)", re.DOTALL)
_GROUPED = re.compile(r"[+-]?[0-9]{1,3}(?:(?:\.[0-9]{3})+,|(?:,[0-9]{3})+\.)[0-9]+")
_ONE_MARK = re.compile(r"([+-]?[1-9][0-9]{0,2})([.,])([0-9]{3})")
_SPACED = re.compile(r"([+-]?[0-9]{1,3}(?:[ '’][0-9]{3})+)(?![0-9])")


def split(text: str) -> tuple[str, str]:
    """A figure and its unit, both spelt plainly; an empty figure where there is none.

    >>> split("18,50 €/kg"), split("$74.50")
    (('18,50', 'EUR/kg'), ('74.50', '$'))
    """
    plain = " ".join(text.translate(_SPELT).split())
    currency_first = _CURRENCY_FIRST.fullmatch(plain)
    if currency_first:
        plain = f"{currency_first[2]} {currency_first[1]}"
    match = _FIGURE.fullmatch(plain)
    if match is None:
        return "", plain
    unit = re.sub(r"\s*([*/])\s*", r"\1", match[2])
    return match[1], unit.replace("(kg*K)", "kg/K").replace("*degC", "/degC")


def numbers_in(figure: str, *, comma: bool = False) -> tuple[float, ...]:
    """The finite numbers that a figure can stand for: one, none, or two where a mark is ambiguous.

    One comma before just three digits may part thousands or decimals ("0,125" may not). A point
    does so only where ``comma`` says that the figures around it have a decimal comma.

    >>> numbers_in("18,50"), numbers_in("1,500"), numbers_in("1.500"), numbers_in("1.2.3")
    ((18.5,), (1.5, 1500.0), (1.5,), ())
    """
    try:
        return tuple(filter(isfinite, map(float, _plain_forms(figure, comma))))
    except ValueError:
        return ()


def _plain_forms(figure: str, comma: bool) -> Iterator[str]:
    match = _ONE_MARK.fullmatch(figure)
    if match and (match[2] == "," or comma):
        yield f"{match[1]}.{match[3]}"
        yield f"{match[1]}{match[3]}"
    elif _GROUPED.fullmatch(figure):
        grouping = "," if figure.rindex(",") < figure.rindex(".") else "."
        yield figure.replace(grouping, "").replace(",", ".")
    else:
        yield figure.replace(",", ".") if figure.count(",") == 1 and "." not in figure else figure


def has_decimal_comma(text: str) -> bool:
    """Whether a figure is written with a comma that can only part decimals.

    >>> has_decimal_comma("7,40 EUR"), has_decimal_comma("1,500 kg"), has_decimal_comma("7.40 EUR")
    (True, False, False)
    """
    figure, _ = split(text)
    return figure.count(",") == 1 and "." not in figure and _ONE_MARK.fullmatch(figure) is None


def may_part_thousands(text: str) -> bool:
    """Whether a figure looks as if its point parted thousands: "1.000 g", which no program writes.

    >>> may_part_thousands("1.000 g"), may_part_thousands("1.234 g"), may_part_thousands("1.5 g")
    (True, False, False)
    """
    match = _ONE_MARK.fullmatch(split(text)[0])
    return match is not None and match[2] == "." and match[3].endswith("0")


def ungrouped(text: str) -> str:
    """A text whose thousands are parted by blanks or strokes, without them; else empty.

    >>> ungrouped("1 500 kg"), ungrouped("1500 kg")
    ('1500 kg', '')
    """
    plain = " ".join(text.translate(_SPELT).split())
    match = _SPACED.match(plain)
    return re.sub("[ '’]", "", match[1]) + plain[match.end() :] if match else ""
