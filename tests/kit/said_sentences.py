"""The sentences people read, as they stand in the source, each with its line."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from jinja2.ext import extract_from_ast

from reports.page.rendering import TEMPLATES, environment
from tests.kit.checkout import ROOT

# The arguments of each sayer that are words: the context, the sentence, its plural.
SAYERS: dict[str, tuple[int | None, ...]] = {"say": (None, 0), "to_say": (None, 0), "say_in": (0, 1)}
SAYERS |= {"say_many": (None, 0, 1), "say_many_in": (0, 1, 2)}
# What speaks English alone: commands, and what they ask back about a deed.
COMMANDS = [*(ROOT / "daemon" / "cli").rglob("*.py"), ROOT / "daemon" / "care" / "plausibility.py"]
_CLICK = {"command", "group"}


def sources() -> list[Path]:
    return [*(ROOT / "reports").rglob("*.py"), *(ROOT / "daemon").rglob("*.py")]


def imports_language(path: Path) -> bool:
    return "from reports.language import" in path.read_text("utf-8") or path.name == "language.py"


def sayings(path: Path) -> Iterator[tuple[str, ast.Call]]:
    """Every call of a sayer in a module, with its name."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in SAYERS:
            yield node.func.id, node


def templates() -> list[Path]:
    return sorted(TEMPLATES.rglob("*.html"))


def template_sayings(path: Path) -> Iterator[tuple[int, str, tuple[str | None, ...]]]:
    """Every call of a sayer in a template: its line, its name, its arguments (None for what is no words)."""
    parsed = environment().parse(path.read_text("utf-8"))
    for line, name, arguments in extract_from_ast(parsed, gettext_functions=SAYERS, babel_style=False):
        yield line, name, arguments if isinstance(arguments, tuple) else (arguments,)


def sentences_of(path: Path) -> Iterator[tuple[int, str]]:
    """What a module or a template says to people, each form of it, by line."""
    if path.suffix == ".html":
        for line, name, arguments in template_sayings(path):
            yield from ((line, str(arguments[place])) for place in SAYERS[name][1:] if place is not None)
        return
    for name, call in sayings(path):
        for place in SAYERS[name][1:]:
            assert place is not None
            said = call.args[place]
            if isinstance(said, ast.Constant):
                yield said.lineno, said.value
    if path in COMMANDS:
        yield from _of_a_command(path)


def _of_a_command(path: Path) -> Iterator[tuple[int, str]]:
    """A command speaks English alone: its help, and whatever else of its strings is more than one word."""
    tree = ast.parse(path.read_text("utf-8"))
    echoed = {id(word) for node in ast.walk(tree) for word in _echoed(node)}
    quiet = {id(inner) for node in ast.walk(tree) for inner in _not_shown(node)}
    for node in ast.walk(tree):
        text = _text(node)
        if text is None or id(node) in quiet:
            continue
        if id(node) in echoed or re.search(r"[A-Za-z]{2,}[,.;:]? [a-z{]", text):
            yield node.lineno, text  # type: ignore[attr-defined]  # a string has a line


def _echoed(node: ast.AST) -> list[ast.expr]:
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "echo":
        return [word for arg in node.args for word in _either(arg)]
    return []


def _either(node: ast.expr) -> list[ast.expr]:
    return [node.body, node.orelse] if isinstance(node, ast.IfExp) else [node]


def _not_shown(node: ast.AST) -> Iterator[ast.AST]:
    """Docstrings that are no command's help, and the pieces of an f-string that is read whole."""
    if isinstance(node, ast.JoinedStr):
        yield from node.values
    owner = isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
    if owner and ast.get_docstring(node) is not None and not _is_command(node):  # type: ignore[arg-type]  # has a docstring
        yield node.body[0].value  # type: ignore[attr-defined]  # a docstring


def _is_command(node: ast.AST) -> bool:
    calls = [one.func if isinstance(one, ast.Call) else one for one in getattr(node, "decorator_list", [])]
    return any(isinstance(call, ast.Attribute) and call.attr in _CLICK for call in calls)


def _text(node: ast.AST) -> str | None:
    """A string; where something is put into it, with `{…}` for that."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(one.value if isinstance(one, ast.Constant) else "{…}" for one in node.values)
    return None
