"""What packages import, and what the repository may hold."""

import ast
import contextlib
import io
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
HEAVY = {"sqlalchemy", "alembic", "numpy", "astropy", "astroplan", "erfa", "scipy", "PIL", "sep"}
ALLOWED_TOP = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "pyproject.toml",
    "logbook",
    "migrations",
    "tests",
    "sample_db",
}


def modules_after(statement: str) -> set[str]:
    """The top-level modules that a fresh interpreter holds after a statement."""
    code = f"{statement}\nimport sys\nprint(*{{name.partition('.')[0] for name in sys.modules}})"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT
    )
    return set(done.stdout.split())


@pytest.mark.parametrize(
    ("statement", "kept_out"),
    [
        ("logbook.cli", HEAVY | {"textual", "rich"}),
        ("logbook.screen.app.app logbook.screen.app.run logbook.screen.pages.choose.page", HEAVY),
        ("logbook.kit.train.sheet logbook.kit.parts.check", HEAVY | {"textual"}),
        ("logbook.startest logbook.kit.optics.formulas", HEAVY | {"textual"}),
        ("logbook.startest.result logbook.startest.picture.averaging", HEAVY | {"textual"}),
        ("logbook.startest.picture.defocus", HEAVY | {"textual"}),
        ("logbook.startest.field.result logbook.startest.field.words", HEAVY | {"textual"}),
        ("logbook.startest.picture.measure logbook.startest.field.map", {"textual", "astropy"}),
        ("logbook.sky.night.clock logbook.sky.night.coordinates", HEAVY | {"textual"}),
        ("logbook.sky.ranking.tonight", {"textual", "sqlalchemy", "alembic", "astroplan"}),
        ("logbook.store.opening logbook.entryline.understand", HEAVY | {"textual"}),
        ("logbook.store.book", {"textual", "alembic", "astropy", "astroplan", "numpy"}),
        ("logbook.report.pages.night_short", {"textual", "astropy", "sqlalchemy"}),
    ],
)
def test_a_package_imports_nothing_that_is_not_its_own(statement: str, kept_out: set[str]) -> None:
    call = "; logbook.cli.parser()" if statement == "logbook.cli" else ""
    imports = "; ".join(f"import {name}" for name in statement.split())
    assert not modules_after(imports + call) & kept_out


@pytest.mark.parametrize(
    "path", sorted((ROOT / "logbook").glob("*/**/__init__.py")), ids=lambda path: path.parent.name
)
def test_a_package_holds_a_docstring_and_nothing_else(path: Path) -> None:
    """So that importing a module of it brings nothing along; its first line is a summary."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    written = ast.get_docstring(tree)
    assert written
    assert len(tree.body) == 1
    summary, *more = written.splitlines()
    assert summary.endswith(".")
    assert more[:1] in ([], [""])
    files = [f"/{each.relative_to(ROOT).as_posix()}" for each in tracked_files()]
    named = re.findall(r"`([\w/-]+\.(?:py|md|toml|csv))`", written)
    assert [name for name in named if not any(file.endswith(f"/{name}") for file in files)] == []


def test_the_guide_for_contributors_is_short_and_names_files_that_exist() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert len(text.encode()) <= 10_000
    everywhere = [path.relative_to(ROOT).as_posix() for path in tracked_files()]
    named = re.findall(r"`([\w./-]+\.(?:py|md|toml|csv))`", text)
    assert len(named) > 20
    assert [
        name for name in named if not any(f"/{each}".endswith(f"/{name}") for each in everywhere)
    ] == []


def test_the_guide_for_contributors_uses_names_that_the_sources_use() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    sources = "\n".join(
        path.read_text(encoding="utf-8")
        for path in tracked_files()
        if path.suffix in (".py", ".toml")
    )
    words = set(re.findall(r"\w+", sources))
    quoted = re.findall(r"`([A-Za-z_]+(?:\.[A-Za-z_]+)*)(?:\([^`]*\))?`", text)
    files = {path.stem for path in tracked_files()}
    names = {name for name in quoted if not name.endswith((".py", ".md", ".toml", ".csv"))}
    assert len(names) > 20
    assert {name for name in names if name.rpartition(".")[2] not in words | files} == set()


def tracked_files() -> list[Path]:
    """The files of the checkout as git knows them; of a source archive, all of them."""
    try:
        done = subprocess.run(
            ["git", "ls-files"], capture_output=True, text=True, check=True, cwd=ROOT
        )
    except (OSError, subprocess.CalledProcessError):
        return [path for path in ROOT.rglob("*") if path.is_file() and ".venv" not in path.parts]
    return [path for name in done.stdout.splitlines() if (path := ROOT / name).is_file()]


def test_the_top_level_stays_small() -> None:
    top = {path.relative_to(ROOT).parts[0] for path in tracked_files()}
    assert {name for name in top if not name.startswith(".")} <= ALLOWED_TOP


def test_no_file_names_a_machine_or_where_packages_came_from() -> None:
    own = Path(__file__)
    forbidden = re.compile(
        rb"(?<![\w.])/(work|root|home/\w+)/|pypi\.org|pythonhosted|npmjs|debian\.org|cdnjs"
    )
    readable = (path for path in tracked_files() if path.suffix != ".png" and path != own)
    assert [path.name for path in readable if forbidden.search(path.read_bytes())] == []


def test_every_check_is_asserted() -> None:
    """A bare `np.allclose(...)` checks nothing."""
    bare = []
    for path in (ROOT / "tests").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Expr) and isinstance(node.value, ast.Call):
                called = node.value.func
                name = called.attr if isinstance(called, ast.Attribute) else ""
                if name in ("allclose", "isclose", "array_equal"):
                    bare.append(f"{path.name}:{node.lineno}")
    assert bare == []


def test_slow_tests_can_be_left_out_and_are_not_by_default() -> None:
    options = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["pytest"]
    assert [each for each in options["ini_options"]["markers"] if each.startswith("slow: ")]
    assert "-m" not in options["ini_options"]["addopts"].split()
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert "-m pytest -n 3\n" in readme


CHECKS = {"raises", "assert_allclose", "assert_array_equal", "debug"}  # beside `assert`


def _called(function: ast.AST) -> set[str]:
    calls = (node.func for node in ast.walk(function) if isinstance(node, ast.Call))
    return {
        each.attr if isinstance(each, ast.Attribute) else each.id
        for each in calls
        if isinstance(each, ast.Attribute | ast.Name)
    }


def test_every_test_checks_something() -> None:
    """By an assertion of its own, or of a function of the tests that it calls."""
    functions = [
        (path, node)
        for path in sorted((ROOT / "tests").rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    ]
    asserting = {
        node.name for _, node in functions if any(isinstance(n, ast.Assert) for n in ast.walk(node))
    }
    calls = {(path, node.name): _called(node) for path, node in functions}
    checking, before = CHECKS | asserting, set[str]()
    while checking != before:
        before = set(checking)
        checking |= {name for (_, name), called in calls.items() if called & checking}
    assert [
        f"{path.name}: {name}"
        for path, name in calls
        if name.startswith("test_") and name not in checking
    ] == []


def _help_of(command: str) -> str:
    from logbook.cli import parser

    said = io.StringIO()
    with contextlib.redirect_stdout(said), pytest.raises(SystemExit):
        parser().parse_args([command, "--help"])
    return said.getvalue()


def test_the_readme_tells_every_command_and_option() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    from logbook.cli import parser

    top = parser()
    commands = re.findall(r"^    ([a-z]+) ", top.format_help(), flags=re.MULTILINE)
    helped = [top.format_help(), *(_help_of(name) for name in commands)]
    options = set(re.findall(r"--[a-z][a-z-]+", " ".join(helped))) - {"--help"}
    assert "tonight" in commands
    assert [word for word in commands if f"`logbook {word}" not in readme] == []
    assert [option for option in sorted(options) if option not in readme] == []


def test_the_notices_travel_with_the_data() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    notices = (ROOT / "logbook" / "data" / "NOTICES.md").read_text(encoding="utf-8")
    assert "CC-BY-SA-4.0" in readme
    assert "CC-BY-SA-4.0" in notices


def test_one_function_reads_a_zone_and_one_the_clock_of_a_site() -> None:
    """So that a time is rounded, and a zone that is not known is met, in one way everywhere."""
    again = re.compile(r"\bZoneInfo\(|astimezone\(.*\):%H:%M\}|seconds=30\)")
    for path in sorted((ROOT / "logbook").rglob("*.py")):
        if path.relative_to(ROOT).as_posix() != "logbook/sky/night/clock.py":
            found = again.findall(path.read_text(encoding="utf-8"))
            assert found == [], path
