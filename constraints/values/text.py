"""The bytes of a file -> its text, or what keeps it from being one."""

from .door import SEEN, too_large, unseen_in
from .problem import Problem, Where


def text_of(file: str, content: str | bytes, problems: list[Problem]) -> str | None:
    """The text of a file; a wrong encoding and an empty file are problems."""
    large = too_large(content)
    if large:
        problems.append(Problem(Where(file), *large))
        return None
    text = content if isinstance(content, str) else _decoded(file, content, problems)
    unseen = unseen_in(text) if text is not None else None
    if unseen:
        line, found = unseen
        problems.append(Problem(Where(file, f"line {line}"), found, SEEN))
        return None
    if text is not None and not text.strip():
        problems.append(Problem(Where(file), "an empty file", "a file with something in it"))
        return None
    return text


def _decoded(file: str, content: bytes, problems: list[Problem]) -> str | None:
    if content[:2] in {b"\xff\xfe", b"\xfe\xff"}:
        problems.append(Problem(Where(file), "text saved as UTF-16", "text saved as UTF-8"))
        return None
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        found = f"a byte {content[error.start]:#04x} that is not UTF-8"
        problems.append(Problem(Where(file, f"line {line}"), found, "text saved as UTF-8"))
        return None
