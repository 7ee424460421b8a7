"""A day of the calendar, as ISO 8601 writes it."""


def day_of(value: object) -> str | None:
    """A day that stands in quotation marks or, as TOML allows, without; else ``None``.

    >>> day_of("2026-11-20"), day_of("2026-02-30"), day_of("yesterday")
    ('2026-11-20', None, None)
    """
    from datetime import date, datetime

    if isinstance(value, date) and not isinstance(value, datetime):
        return value.isoformat()
    try:
        return date.fromisoformat(value).isoformat() if isinstance(value, str) else None
    except ValueError:
        return None  # the caller words it
