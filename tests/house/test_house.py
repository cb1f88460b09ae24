"""The walls of the house: who imports whom, how long functions are, whether docstrings keep their word."""

import ast
import inspect
import re
import statistics
from functools import cache
from importlib import import_module
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "detentsim"
ROOMS = ["mechanics", "units", "shop", "knife", "analysis", "show", "cli"]
FILES = sorted(PACKAGE.rglob("*.py"))
TESTS = sorted(Path(__file__).parents[1].rglob("*.py"))


def module_name(path: Path) -> str:
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def room_of(module: str) -> str | None:
    parts = module.split(".")
    return parts[1] if parts[0] == "detentsim" and len(parts) > 1 and parts[1] in ROOMS else None


@cache
def parsed(path: Path) -> ast.Module:
    """A file's syntax tree, read once."""
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def imports_of(path: Path) -> set[str]:
    """Every module imported anywhere in a file, inside functions too; not what only a type checker sees."""
    tree = parsed(path)
    package = module_name(path).split(".")
    if path.name != "__init__.py":
        package = package[:-1]
    hidden = {
        id(inner)
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test)
        for inner in ast.walk(node)
    }
    found: set[str] = set()
    for node in ast.walk(tree):
        if id(node) in hidden:
            continue
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else []
            stem = ".".join([*base, *([node.module] if node.module else [])])
            found |= {stem} | {f"{stem}.{alias.name}" for alias in node.names}
    return found


@pytest.mark.parametrize("path", FILES, ids=[module_name(path) for path in FILES])
def test_no_room_imports_a_higher_one(path):
    own = room_of(module_name(path))
    if own is None:
        return
    higher = set(ROOMS[ROOMS.index(own) + 1 :])
    assert {name for name in imports_of(path) if room_of(name) in higher} == set()


def test_mechanics_imports_numpy_and_scipy_alone():
    for path in (PACKAGE / "mechanics").rglob("*.py"):
        roots = {name.split(".")[0] for name in imports_of(path)}
        assert roots <= {"__future__", "numpy", "scipy", "typing", "collections", "math", "detentsim"}, path.name


def test_pint_and_matplotlib_stay_in_their_rooms():
    for path in FILES:
        roots = {name.split(".")[0] for name in imports_of(path)}
        if "matplotlib" in roots:
            assert room_of(module_name(path)) == "show", path
        if "pint" in roots:
            assert room_of(module_name(path)) == "units", path


def test_no_import_cycle():
    known = {module_name(path) for path in FILES}
    graph = {module_name(path): imports_of(path) & known - {module_name(path)} for path in FILES}
    done: set[str] = set()

    def visit(module: str, way: tuple[str, ...]) -> None:
        assert module not in way, " -> ".join([*way, module])
        if module in done:
            return
        for other in graph[module] - {"detentsim"}:
            visit(other, (*way, module))
        done.add(module)

    for module in graph:
        visit(module, ())


def test_files_fit():
    for path in FILES + TESTS:
        assert len(path.read_text("utf-8").splitlines()) <= 300, path


def test_no_test_file_imports_another():
    """What several need stands in `helpers`; names of test files stay unique, since each is a module of its own."""
    names = [path.stem for path in TESTS if path.parent.name != "helpers"]
    assert len(names) == len(set(names))
    for path in TESTS:
        roots = re.findall(r"^ *(?:from|import) (\w+)", path.read_text("utf-8"), re.M)
        assert set(names).isdisjoint(roots), path


def test_folders_fit():
    folders = {path.parent for path in FILES}
    for folder in folders:
        entries = [e for e in folder.iterdir() if not e.name.startswith("__") and e.name != "py.typed"]
        assert len(entries) <= 9, folder


def test_each_room_says_what_it_takes_gives_and_must_not_know():
    for path in FILES:
        if path.name == "__init__.py" and path.parent != PACKAGE:
            text = ast.get_docstring(parsed(path)) or ""
            for head in ("Comes in:", "Leaves:", "Must not know:", "Read first:"):
                assert head in text, f"{path}: {head}"


def test_the_chain_of_imports_does_not_grow():
    """Imports that loading a file brings with it, the longest chain of them."""
    known = {module_name(path) for path in FILES}
    loads: dict[str, set[str]] = {}
    for path in FILES:
        names: set[str] = set()
        for node in parsed(path).body:
            if isinstance(node, ast.Import):
                names |= {alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom):
                names |= {f"{node.module}.{alias.name}" for alias in node.names} | {str(node.module)}
        loads[module_name(path)] = names & known - {"detentsim", module_name(path)}

    def chain(module: str) -> int:
        return 1 + max((chain(other) for other in loads[module] if "." in other), default=0)

    chain = cache(chain)
    assert max(chain(module) for module in loads) <= 12


def code_lines(path: Path) -> list[tuple[int, str]]:
    """Lines of code of each function: no docstring, no blank line, no comment, nested functions counted in."""
    lines = path.read_text(encoding="utf-8").splitlines()
    found = []
    for node in ast.walk(parsed(path)):
        if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            continue
        body = node.body[1:] if ast.get_docstring(node) is not None else node.body
        if not body:
            found.append((0, f"{path.name}:{node.name}"))
            continue
        span = lines[body[0].lineno - 1 : node.end_lineno]
        count = sum(1 for line in span if line.strip() and not line.strip().startswith("#"))
        found.append((count, f"{path.name}:{node.name}"))
    return found


def test_functions_fit():
    sizes = [size for path in FILES for size in code_lines(path)]
    counts = [count for count, _ in sizes]
    assert statistics.median(counts) <= 8
    assert sum(count < 25 for count in counts) >= 0.9 * len(counts)
    assert max(sizes)[0] <= 50, max(sizes)


def public_functions():
    for path in FILES:
        module = import_module(module_name(path)) if path.name != "__main__.py" else None
        for name, value in vars(module).items() if module else []:
            if not name.startswith("_") and inspect.isfunction(value) and value.__module__ == module.__name__:
                yield value


def documented(function) -> list[str] | None:
    """Names in a docstring's Parameters section, None where it has none."""
    doc = inspect.getdoc(function) or ""
    section = re.search(r"Parameters\n-{5,}\n(.*?)(?:\n\n[A-Z]\w+\n-{3,}|\Z)", doc, re.S)
    if section is None:
        return None
    heads = re.findall(r"^(\**\w[\w, *]*?)(?: :.*)?$", section[1], re.M)
    return [name.strip(" *") for head in heads for name in head.split(",")]


def test_docstrings_name_the_parameters_they_have():
    checked = 0
    for function in public_functions():
        assert function.__doc__, f"{function.__module__}.{function.__name__} has no docstring"
        names = documented(function)
        if names is not None:
            checked += 1
            assert names == list(inspect.signature(function).parameters), f"{function.__module__}.{function.__name__}"
    assert checked > 40


def test_no_module_bears_the_name_of_a_public_name_of_its_package():
    for room in ROOMS[:-1]:
        package = import_module(f"detentsim.{room}")
        public = set(getattr(package, "__all__", []))
        assert not public & {path.stem for path in (PACKAGE / room).iterdir()}


# ---------------------------------------------------------------- glossary

GLOSSARY = Path(__file__).parents[2] / "DEVELOPERS.md"
ROW = re.compile(r"^\| `(\w+)` \| (.*?) \| (.*?) \| (.*?) \|$", re.M)


def glossary() -> dict[str, tuple[str, str, str]]:
    return {name: (symbol, unit, zero) for name, symbol, unit, zero in ROW.findall(GLOSSARY.read_text("utf-8"))}


def record_units() -> dict[str, str]:
    text = (PACKAGE / "mechanics" / "record.py").read_text("utf-8")
    return dict(re.findall(r"^    (\w+): Array  #.*?\[(.+?)\]", text, re.M))


def test_glossary_has_every_number_the_formulas_take():
    from detentsim.mechanics.record import Record

    words = glossary()
    units = record_units()
    assert set(units) == set(Record._fields)
    for name, unit in units.items():
        assert name in words, f"{name} is not in the glossary"
        assert words[name][1] == unit, name


def test_glossary_has_every_result_in_its_unit():
    from detentsim.knife.outcomes import RESULTS
    from detentsim.mechanics.names import ALL_NAMES

    words = glossary()
    for name in {*ALL_NAMES} - {"yield_strength"}:  # that one is an input too
        assert name in words, f"{name} is not in the glossary"
        assert words[name][1] == (RESULTS[name].unit or "-"), name


def test_every_angle_in_the_glossary_has_a_zero_and_a_sense():
    for name, (_, unit, zero) in glossary().items():
        if unit in ("rad", "deg"):
            assert "0" in zero, f"{name} does not say where it is zero"
