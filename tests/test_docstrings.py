"""What docstrings of the pure packages must hold, read from the source."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PURE = ("kit", "sky", "startest", "entryline", "records", "frames")


def public_functions(tree: ast.Module) -> Iterator[tuple[str, ast.FunctionDef]]:
    """Functions of a module and methods of its classes that bear no leading underscore."""
    for node in tree.body:
        holder = f"{node.name}." if isinstance(node, ast.ClassDef) else ""
        if holder.startswith("_"):
            continue
        for function in node.body if isinstance(node, ast.ClassDef) else [node]:
            if isinstance(function, ast.FunctionDef) and not function.name.startswith("_"):
                yield holder + function.name, function


def own_nodes(node: ast.AST) -> Iterator[ast.AST]:
    """Everything in a function, save what is in a function or class inside it."""
    for child in ast.iter_child_nodes(node):
        if not isinstance(child, ast.FunctionDef | ast.ClassDef):
            yield child
            yield from own_nodes(child)


def raised(function: ast.FunctionDef) -> set[str]:
    """Names of the error classes in the function's own raise statements."""
    errors = (node.exc for node in own_nodes(function) if isinstance(node, ast.Raise))
    classes = (error.func if isinstance(error, ast.Call) else error for error in errors)
    names = {node.id for node in classes if isinstance(node, ast.Name)}
    return {name for name in names if name[0].isupper()}


def faults(source: str) -> list[str]:
    """What is missing in the docstrings of one module."""
    found = []
    for name, function in public_functions(ast.parse(source)):
        written = ast.get_docstring(function)
        if not written:
            found.append(f"{name} has no docstring")
            continue
        promised = re.findall(r"\w+", "".join(re.findall(r"\b[Rr]aises (.*)", written, re.DOTALL)))
        missing = sorted(raised(function) - set(promised))
        found += [f"{name} raises {error}" for error in missing]
    return found


@pytest.mark.parametrize("package", PURE)
def test_public_functions_say_what_they_do_and_raise(package: str) -> None:
    found = {
        path.relative_to(ROOT).as_posix(): missing
        for path in sorted((ROOT / "logbook" / package).rglob("*.py"))
        if (missing := faults(path.read_text(encoding="utf-8")))
    }
    assert found == {}


@pytest.mark.parametrize(
    ("body", "found"),
    [
        ("pass", ["f has no docstring"]),
        ('"""Half of it."""\n    raise BadInput("odd")', ["f raises BadInput"]),
        ('"""Half of it. BadInput if odd."""\n    raise BadInput', ["f raises BadInput"]),
        ('"""Half of it. Raises BadInput if odd."""\n    raise BadInput("odd")', []),
        ('"""Half of it."""\n    try: ...\n    except E as e: raise B from e', ["f raises B"]),
        ('"""Half of it."""\n    def g(): raise BadInput', []),
        ('"""Half of it."""\n    raise', []),
    ],
)
def test_what_a_docstring_lacks_is_found(body: str, found: list[str]) -> None:
    assert faults(f"def f():\n    {body}\n") == found
    assert faults(f"def _f():\n    {body}\n") == []
