"""Small money as it is spoken of: in cents."""

CENTS = {"EUR": "cent", "USD": "cent", "AUD": "cent", "CAD": "cent", "NZD": "cent", "GBP": "penny"}
"""What a hundredth of a currency is called; common knowledge. Others are left in decimals."""

PLURALS = {"cent": "cents", "penny": "pence"}


def cents(value: float, currency: str) -> str:
    """A small sum in words.

    >>> cents(0.089, "EUR"), cents(0.011, "GBP"), cents(0.0029, "EUR"), cents(1.25, "EUR")
    ('9 cents', '1 penny', '0.3 cents', '1.25 EUR')
    >>> cents(0.089, "CHF")
    '0.089 CHF'
    """
    word = CENTS.get(currency)
    if word is None or abs(value) >= 1:
        return f"{value:.2f} {currency}" if abs(value) >= 1 else f"{value:.3f} {currency}"
    hundredths = abs(value) * 100
    said = f"{hundredths:.0f}" if hundredths >= 1 else f"{hundredths:.1g}"
    return f"{said} {word if said == '1' else PLURALS[word]}"
