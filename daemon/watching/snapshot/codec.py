"""State as a tree of plain JSON and back, exact to the last digit, by a list of classes it may be made of.

Nothing in a tree names code: an object is its class's name, looked up among the allowed, and the values of
its attributes, set without any of the class's own code being run. Attributes are found by themselves, so a
class that gains one needs nothing here; a class that is not allowed is refused when the tree is made.
JSON's numbers are Python's shortest that read back as the same float, infinities too. An array's are kept as
its bytes: as numbers of their own they would take ten times its memory, there and back.
"""

from array import array
from base64 import b64decode, b64encode
from collections import deque
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cached_property
from typing import Any

Tree = Any  # what `json` reads and writes
_PLAIN = (type(None), bool, int, float, str)
_FROM_ITEMS: Mapping[str, Callable[[Iterable[Any]], object]] = {"list": list, "tuple": tuple}


class Unkept(ValueError):
    """State that cannot be kept, or a tree that is none of ours; the message says what was found."""


class Codec:
    """For state of some classes, in which some objects are given from outside and kept by their names."""

    def __init__(
        self, classes: Iterable[type], given: Mapping[str, object], anew: Mapping[type, Sequence[str]]
    ) -> None:
        """`anew` names attributes that are worked out anew when asked for: they are kept as None."""
        self._classes = {cls.__name__: cls for cls in classes}
        self._given = given
        self._names = {id(thing): name for name, thing in given.items()}
        self._anew = anew

    def tree(self, state: object) -> Tree:
        """The state as a tree. Raises Unkept for what is of no allowed class."""
        return _Packing(self._classes, self._names, self._anew).packed(state)

    def state(self, tree: Tree) -> object:
        """The state again. Raises Unkept for what `tree` cannot have made."""
        try:
            return _Unpacking(self._classes, self._given).unpacked(tree)
        except (TypeError, ValueError, KeyError, IndexError, AttributeError, RecursionError) as error:
            raise Unkept(
                f"snapshot: found no state of ours ({error}); allowed: what this program wrote"
            ) from (error)


class _Packing:
    """One tree: what is met twice is the same object twice when it is read, too."""

    def __init__(
        self, classes: Mapping[str, type], names: Mapping[int, str], anew: Mapping[type, Sequence[str]]
    ) -> None:
        self._classes, self._names, self._anew = classes, names, anew
        self._met: dict[int, int] = {}
        self._held: list[object] = []  # so that no number of an object is given to another meanwhile

    def packed(self, thing: Any) -> Tree:
        if type(thing) in _PLAIN:
            return thing
        if id(thing) in self._names:
            return ["given", self._names[id(thing)]]
        if id(thing) in self._met:
            return ["met", self._met[id(thing)]]
        tree = self._made(thing)
        self._met[id(thing)] = len(self._held)
        self._held.append(thing)
        return tree

    def _made(self, thing: Any) -> Tree:
        kind = type(thing)
        if kind in (list, tuple):
            return [kind.__name__, *map(self.packed, thing)]
        if kind is array and thing.typecode == "d":
            return ["array", b64encode(thing).decode()]
        if kind is deque:
            return ["deque", thing.maxlen, *map(self.packed, thing)]
        if kind is dict:
            return ["dict", *([self.packed(key), self.packed(value)] for key, value in thing.items())]
        if self._classes.get(kind.__name__) is not kind:
            raise Unkept(f"snapshot: found {kind.__module__}.{kind.__qualname__}; allowed: classes of state")
        if isinstance(thing, Enum):
            return ["enum", kind.__name__, thing.value]
        left_out = self._anew.get(kind, ())
        values = {name: None if name in left_out else value for name, value in _attributes(thing).items()}
        return ["object", kind.__name__, {name: self.packed(value) for name, value in values.items()}]


def _attributes(thing: Any) -> dict[str, Any]:
    """What an object holds, but for what it has worked out of that and kept."""
    if is_dataclass(thing) and not hasattr(thing, "__dict__"):
        return {field.name: getattr(thing, field.name) for field in fields(thing)}
    kept = type(thing)
    return {
        name: value
        for name, value in vars(thing).items()
        if not isinstance(getattr(kept, name, None), cached_property)
    }


class _Unpacking:
    def __init__(self, classes: Mapping[str, type], given: Mapping[str, object]) -> None:
        self._classes, self._given = classes, given
        self._held: list[object] = []

    def unpacked(self, tree: Tree) -> Any:
        if type(tree) is not list:
            if type(tree) not in _PLAIN:
                raise TypeError(type(tree).__name__)
            return tree
        kind, *rest = tree
        if kind == "given":
            return self._given[rest[0]]
        if kind == "met":
            return self._held[rest[0]]
        thing = self._made(kind, rest)
        self._held.append(thing)
        return thing

    def _made(self, kind: str, rest: list[Tree]) -> object:
        if kind in _FROM_ITEMS:
            return _FROM_ITEMS[kind](map(self.unpacked, rest))
        if kind == "array":
            return array("d", b64decode(rest[0], validate=True))
        if kind == "deque":
            return deque(map(self.unpacked, rest[1:]), maxlen=rest[0])
        if kind == "dict":
            return {self.unpacked(key): self.unpacked(value) for key, value in rest}
        cls = self._classes[rest[0]]
        if kind == "enum":
            return cls(rest[1])
        if kind != "object" or issubclass(cls, Enum):
            raise ValueError(kind)
        values = {name: self.unpacked(value) for name, value in rest[1].items()}
        return _object(cls, values)


def _object(cls: type, values: Mapping[str, object]) -> object:
    thing: Any = object.__new__(cls)
    if is_dataclass(cls) and values.keys() != {field.name for field in fields(cls)}:
        raise ValueError(cls.__name__)
    for name, value in values.items():
        object.__setattr__(thing, name, value)  # a frozen one, too
    return thing
