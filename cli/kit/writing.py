"""Files that a command writes on request."""

from pathlib import Path

from .loading import leave


def put(path: Path, text: str, *, overwrite: bool) -> None:
    """Write a file, or say what is in the way and leave."""
    from ...constraints.bench.writing import write_atomically
    from ...constraints.values.problem import Problem, Problems

    problem = write_atomically(path, text, replace=overwrite)
    if isinstance(problem, Problem):
        leave(Problems((problem,)))
