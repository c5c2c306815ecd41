"""Words as nobody types them into a form: long, in any script, with markup, code, numbers that are none."""

import random
from collections.abc import Callable

# What an HTML parser would see as an element or an attribute if it came back unescaped.
TAG, ATTRIBUTE = "x-hostile", "onhostile"
MARKUP = f'"><{TAG} {ATTRIBUTE}=1>'

NASTY = (
    "<script>alert(1)</script>",
    f"<{TAG}>",
    MARKUP,
    f"'><{TAG} {ATTRIBUTE}='",
    f"</script></title></textarea><{TAG}>",
    f"javascript:<{TAG}>",
    f"x\r\nX-Hostile: 1\r\n\r\n<{TAG}>",
    "'; DROP TABLE deed; --",
    "1 OR 1=1",
    "{{ 7 * 7 }}",
    "%(asctime)s %s {0} ${HOME} $(id) `id`",
    "../../../../etc/passwd",
    "-1e308",
    "1e309",
    "NaN",
    "-5",
    "½",
    "١٢",
    "1/0",
    "9" * 400,
    "\x00",
    "\ud800",
    "\ufeff",
    "a;b=c",
    "=",
    "\u202e12",
    "12\n13",
    "🦐" * 300,
    "a\u0301" * 500,
    "x" * 20_000,
)


def word(chance: random.Random) -> str:
    """One of them, or what chance strings together."""
    made: tuple[Callable[[], str], ...] = (
        lambda: chance.choice(NASTY),
        lambda: chance.choice(NASTY),
        lambda: "".join(chr(chance.randrange(1, 0x3000)) for _ in range(chance.randrange(60))),
        lambda: str(chance.uniform(-1e6, 1e6)),
        lambda: str(chance.randrange(-(10**13), 10**13)),
        lambda: chance.choice(("", "0", "1", "18", "18,5 ml", "1/2 tsp", "50%", "1.021 sg")),
        lambda: "".join(chance.choice("<>\"'&;=%/\\\x7f\t ab1") for _ in range(chance.randrange(200))),
    )
    return chance.choice(made)()


def moment(chance: random.Random, now: int) -> str:
    """A time as no form offers it; of the future, of long ago, and sometimes one that could be."""
    near = now + chance.randrange(-(10**7), 10**7)
    made = (
        str(near),
        str(chance.randrange(-(10**13), 10**13)),
        "2026-10-25T01:30",
        "0001-01-01T00:00",
        "now",
    )
    return chance.choice((*made, word(chance)))
