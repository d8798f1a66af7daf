"""Docstrings: the first four lines of a room, parameters equal to the signature, units."""

import ast
import re

import pytest

from tests.house.reading import SOURCE, modules

NUMERIC = re.compile(r"\b(float|int|NDArray|ndarray)\b")
#: Annotations that hold numbers only in passing (keys, counts in callbacks, options).
NOT_A_QUANTITY = re.compile(r"Callable|Mapping|dict|Progress|Literal|bool")


def public_functions():
    for name, tree in modules().items():
        for node in tree.body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                yield f"{name}.{node.name}", node
            elif isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                for inner in node.body:
                    if isinstance(inner, ast.FunctionDef) and not inner.name.startswith("_"):
                        yield f"{name}.{node.name}.{inner.name}", inner


def parameters_of(docstring: str) -> dict[str, str]:
    """The names in the Parameters section, each with its type line and text."""
    match = re.search(
        r"^\s*Parameters\n\s*-+\n(.*?)(?=^\s*\w[\w ]*\n\s*-{3,}|\Z)", docstring, re.S | re.M
    )
    if not match:
        return {}
    found, current = {}, []
    for line in match[1].splitlines():
        head = re.match(r"^(\S.*?)\s*:\s*(.*)$", line)
        if head and not line.startswith(" "):
            current = [part.strip().lstrip("*") for part in head[1].split(",")]
            for part in current:
                found[part] = head[2]
        else:
            for part in current:
                found[part] += " " + line.strip()
    return found


FUNCTIONS = dict(public_functions())
#: Functions that are commands: named as their file, or under a decorator with arguments.
COMMANDS = {
    name
    for name, node in FUNCTIONS.items()
    if ".cli." in name
    and (
        name.split(".")[-1] == name.split(".")[-2]
        or any(isinstance(d, ast.Call) for d in node.decorator_list)
    )
}


@pytest.mark.parametrize("name", sorted(FUNCTIONS))
def test_documented_parameters_are_the_signature(name):
    """The Parameters section names what the function takes, and numbers carry units."""
    node = FUNCTIONS[name]
    takes = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
    takes += [a for a in (node.args.vararg, node.args.kwarg) if a]
    wanted = {a.arg: a for a in takes if a.arg not in ("self", "cls")}
    decorators = {getattr(d, "id", getattr(d, "attr", "")) for d in node.decorator_list}
    if name in COMMANDS:
        return  # commands are documented by their help texts, which the help test reads
    documented = parameters_of(ast.get_docstring(node) or "")
    assert ast.get_docstring(node), f"{name} has no docstring"
    if "property" in decorators:
        return
    assert set(documented) == set(wanted), f"{name}: {set(documented) ^ set(wanted)}"
    for parameter, text in documented.items():
        note = wanted[parameter].annotation
        kind = ast.unparse(note) if note is not None else ""
        if NUMERIC.search(kind) and not NOT_A_QUANTITY.search(kind):
            assert re.search(r"\[[^\]]+\]", text), f"{name}: {parameter} has no [unit]"


@pytest.mark.parametrize(
    "room", sorted(p.parent.name for p in SOURCE.glob("*/__init__.py")), ids=str
)
def test_each_room_opens_with_the_same_four_lines(room):
    """What it is, takes, gives, next."""
    text = ast.get_docstring(modules()[f"thawline.{room}"]) or ""
    heads = [line.split(":")[0] for line in text.splitlines() if line]
    assert heads[0] == "What it is" and [h for h in heads if h in ("Takes", "Gives", "Next")] == [
        "Takes",
        "Gives",
        "Next",
    ]


DATACLASSES = {
    f"{name}.{node.name}": node
    for name, tree in modules().items()
    for node in tree.body
    if isinstance(node, ast.ClassDef)
    and not node.name.startswith("_")
    and any("dataclass" in ast.unparse(d) for d in node.decorator_list)
}


@pytest.mark.parametrize("name", sorted(DATACLASSES))
def test_products_are_frozen_and_their_fields_documented(name):
    """Containers do not change, and say what they hold in which unit."""
    node = DATACLASSES[name]
    assert "frozen=True" in "".join(ast.unparse(d) for d in node.decorator_list)
    fields = {
        f.target.id: ast.unparse(f.annotation)
        for f in node.body
        if isinstance(f, ast.AnnAssign) and isinstance(f.target, ast.Name)
    }
    documented = parameters_of(ast.get_docstring(node) or "")
    public = {f for f in fields if not f.startswith("_") and "ClassVar" not in fields[f]}
    assert public == set(documented), f"{name}: {public ^ set(documented)}"
    for field, kind in fields.items():
        if field in public and NUMERIC.search(kind) and not NOT_A_QUANTITY.search(kind):
            assert re.search(r"\[[^\]]+\]", documented[field]), f"{name}.{field} has no [unit]"
