"""Problems on stderr: in words, or as one JSON document."""

from collections.abc import Iterator

from ...constraints.values.problem import Problem, Problems
from .screen import complain


def tell(problems: Problems, *, as_json: bool) -> None:
    """Every problem, and that nothing came of it."""
    if as_json:
        from .as_json import dumped, problems_form

        complain([dumped("problems", {"problems": problems_form(problems)})])
        return
    for problem in problems.items:
        complain([*problem_lines(problem), ""])
    complain([problems_count(problems)])


def problem_lines(problem: Problem) -> Iterator[str]:
    """A problem as lines: where it stands, what was found, what would be right."""
    yield ": ".join(part for part in (problem.where.file, problem.where.place) if part)
    yield f"  found     {problem.found}"
    yield f"  expected  {problem.expected}"
    if problem.nearest:
        yield f"  nearest   {' · '.join(problem.nearest)}"


def problems_count(problems: Problems) -> str:
    """How many problems there are, and that nothing came of it."""
    count = len(problems.items)
    return f"{count} {'problem' if count == 1 else 'problems'}; nothing was written."


def failed_sentence(what: str) -> str:
    """An answer of ours that fails its own check: what failed, and how to have it mended."""
    return (
        f"The answer found fails its own check ({what}), so that it is not shown and nothing was "
        "written; please report it with the command line and a copy of the bench folder."
    )
