"""What keeps the tree readable for a newcomer: small folders, classes, functions; no circles."""

import ast
from collections import Counter, defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[1]
MOST_MODULES_IN_A_FOLDER = 25
MOST_METHODS = 30  # inherited ones of our own classes counted
MOST_LINES_OF_A_FUNCTION = 60
MOST_LATE_IMPORTS = 60  # within functions, or of a module named by a string

Function = ast.FunctionDef | ast.AsyncFunctionDef


@cache
def trees() -> dict[str, ast.Module]:
    """Every module of the program by its dotted name."""
    found = {}
    for path in (ROOT / "logbook").rglob("*.py"):
        name = ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        found[name] = ast.parse(path.read_text(encoding="utf-8"))
    return found


def functions() -> Iterator[tuple[str, Function]]:
    for name, tree in trees().items():
        for node in ast.walk(tree):
            if isinstance(node, Function):
                yield name, node


def imported(node: ast.AST) -> set[str]:
    """Our own modules that an import statement names."""
    if isinstance(node, ast.Import):
        return {each.name for each in node.names} & trees().keys()
    if isinstance(node, ast.ImportFrom) and node.module:
        names = {f"{node.module}.{each.name}" for each in node.names}
        return (names & trees().keys()) or ({node.module} & trees().keys())
    return set()


def for_types_alone(tree: ast.Module) -> set[int]:
    """Lines of imports that no running program makes."""
    return {
        node.lineno
        for branch in ast.walk(tree)
        if isinstance(branch, ast.If) and "TYPE_CHECKING" in ast.dump(branch.test)
        for node in ast.walk(branch)
        if isinstance(node, ast.Import | ast.ImportFrom)
    }


def test_no_folder_holds_a_crowd() -> None:
    folders = Counter(
        path.parent.relative_to(ROOT).as_posix()
        for path in (ROOT / "logbook").rglob("*.py")
        if path.name != "__init__.py"
    )
    assert {name for name, count in folders.items() if count > MOST_MODULES_IN_A_FOLDER} == set()


def test_functions_are_short() -> None:
    long = {
        f"{name}.{node.name}"
        for name, node in functions()
        if node.end_lineno and node.end_lineno - node.lineno + 1 > MOST_LINES_OF_A_FUNCTION
    }
    assert long == set()


def test_classes_do_one_thing() -> None:
    classes = {
        node.name: node
        for tree in trees().values()
        for node in tree.body
        if isinstance(node, ast.ClassDef)
    }

    def methods(name: str) -> set[str]:
        if name not in classes:
            return set()
        own = {each.name for each in classes[name].body if isinstance(each, Function)}
        return own.union(*(methods(base) for base in bases(classes[name])))

    assert {name for name in classes if len(methods(name)) > MOST_METHODS} == set()


def bases(node: ast.ClassDef) -> Iterator[str]:
    for base in node.bases:
        bare = base.value if isinstance(base, ast.Subscript) else base
        yield bare.id if isinstance(bare, ast.Name) else getattr(bare, "attr", "")


def test_few_modules_are_imported_late() -> None:
    late = {
        (name, node.lineno)
        for name, function in functions()
        for node in ast.walk(function)
        if isinstance(node, ast.Import | ast.ImportFrom) and imported(node)
    }
    named = {
        (name, node.lineno)
        for name, tree in trees().items()
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and "." in node.value
        and node.value.partition(":")[0] in trees()
    }
    assert len(late | named) < MOST_LATE_IMPORTS


def test_no_modules_import_each_other_in_a_circle() -> None:
    """Imports within functions counted."""
    needs = {
        name: {
            each
            for node in ast.walk(tree)
            if isinstance(node, ast.Import | ast.ImportFrom)
            and node.lineno not in for_types_alone(tree)
            for each in imported(node)
        }
        for name, tree in trees().items()
    }
    # Modules that need nothing any more are taken away; what stays stands in, or above, a circle.
    users = defaultdict(set)
    for name, needed in needs.items():
        for each in needed:
            users[each].add(name)
    free = [name for name, needed in needs.items() if not needed]
    while free:
        done = free.pop()
        for user in users[done]:
            needs[user].discard(done)
            if not needs[user]:
                free.append(user)
    assert {name for name, needed in needs.items() if needed} == set()
