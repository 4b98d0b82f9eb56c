"""The house stands as DEVELOPERS.md says: one-way imports, pure kernels, words on everything."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "solidsim"
LADDER = [
    {"errors", "second_process"},
    {"units"},
    {"quantities"},
    {"case"},
    {"materials"},
    {"section"},
    {"model"},
    {"conduction", "fill"},
    {"criteria"},
    {"sizing"},
    {"results"},
    {"facts"},
    {"watch"},
    {"pour"},
    {"mirroring"},
    {"compiling", "simulation"},
    {"judgment"},
    {"pictures"},
    {"report"},
    {"studies"},
    {"cli"},
]
RUNG = {name: rung for rung, names in enumerate(LADDER) for name in names}
MODULES = sorted(PACKAGE.rglob("*.py"))
KERNELS = sorted(PACKAGE.rglob("*_kernels.py"))
KERNEL_IMPORTS = {"math", "typing", "numpy", "numba"}
VAGUE = {"utils", "util", "helpers", "common", "core", "manager", "managers", "misc"}
MOST_LINES = 350


def relative(path):
    return path.relative_to(PACKAGE).as_posix()


def each(modules):
    return pytest.mark.parametrize("path", modules, ids=relative)


def tree_of(path):
    return ast.parse(path.read_text(encoding="utf-8"))


def imports_of(tree):
    """Every imported module, dotted, with the node; ``from a import b`` gives ``a.b``."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((alias.name, node) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"line {node.lineno}: import by full name"
            yield from ((f"{node.module}.{alias.name}", node) for alias in node.names)


def home(path):
    """The rung's name: the folder under solidsim, or the file at the top."""
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


@each([path for path in MODULES if home(path) != "__init__"])
def test_imports_run_one_way(path):
    own = home(path)
    for name, node in imports_of(tree_of(path)):
        package, _, rest = name.partition(".")
        if package != "solidsim":
            continue
        other = rest.split(".")[0]
        place = f"line {node.lineno}: {own} imports {other or 'solidsim itself'}"
        assert other in RUNG, place
        assert other == own or RUNG[other] < RUNG[own], place


def test_every_module_stands_on_a_rung():
    assert {home(path) for path in MODULES} <= {*RUNG, "__init__"}


@each([path for path in MODULES if home(path) != "cli"])
def test_no_import_of_ours_hides_in_a_function(path):
    for function in functions_of(tree_of(path)):
        for name, node in imports_of(function):
            assert not name.startswith("solidsim"), f"line {node.lineno}"


@each([path for path in MODULES if home(path) != "cli"])
def test_only_the_command_line_prints_and_exits(path):
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Call):
            said = ast.unparse(node.func)
            assert said not in {"print", "exit", "quit", "sys.exit", "os._exit"}, node.lineno


@each([path for path in MODULES if home(path) != "pictures"])
def test_only_pictures_draw(path):
    for name, node in imports_of(tree_of(path)):
        assert name.split(".")[0] not in {"matplotlib", "imageio", "PIL"}, node.lineno


@each(KERNELS)
def test_kernels_import_only_numbers(path):
    """Types of another kernel file are fine; of its functions numba would keep a stale copy."""
    for name, _ in imports_of(tree_of(path)):
        kind = name.rsplit(".", 1)[-1]
        assert name.split(".")[0] in KERNEL_IMPORTS or ("_kernels." in name and kind[0].isupper())


@each(KERNELS)
def test_kernels_are_cached(path):
    for function in functions_of(tree_of(path)):
        marks = [mark for mark in function.decorator_list if "jit" in ast.unparse(mark)]
        for mark in marks:
            assert isinstance(mark, ast.Call), f"line {mark.lineno}: @njit without cache=True"
            options = {option.arg: ast.unparse(option.value) for option in mark.keywords}
            assert options.get("cache") == "True", f"line {mark.lineno}"
            measured = "measured" in (ast.get_docstring(function) or "")
            fast = {"parallel", "fastmath"} & set(options)
            assert measured or not fast, f"line {mark.lineno}: not measured"


@each([path for path in MODULES if path not in KERNELS])
def test_only_kernels_are_compiled(path):
    assert not any(name.split(".")[0] == "numba" for name, _ in imports_of(tree_of(path)))


def test_there_are_kernels():
    assert KERNELS


def test_no_folder_has_a_vague_name():
    stems = {
        part.removesuffix(".py") for path in MODULES for part in path.relative_to(PACKAGE).parts
    }
    assert not VAGUE & stems


@each(MODULES)
def test_everything_public_says_what_it_is(path):
    tree = tree_of(path)
    assert ast.get_docstring(tree), "the module"
    for node in public_nodes(tree.body):
        assert ast.get_docstring(node), f"line {node.lineno}: {node.name}"


@each(MODULES)
def test_modules_are_short(path):
    lines = path.read_text(encoding="utf-8").count("\n")
    assert lines <= MOST_LINES, f"{lines} lines"


def functions_of(tree):
    functions = (ast.FunctionDef, ast.AsyncFunctionDef)
    return [node for node in ast.walk(tree) if isinstance(node, functions)]


def public_nodes(body):
    for node in body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            yield node
            if isinstance(node, ast.ClassDef):
                yield from public_nodes(node.body)
