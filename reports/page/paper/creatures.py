"""Names for cups: creatures of water and shore, and never those of children."""

from reports.language import say, spoken, to_say

# Each begins with a capital in every language, and none is a word that children call each other.
CREATURES = (
    *(to_say("Otter"), to_say("Heron"), to_say("Newt"), to_say("Mussel"), to_say("Starfish"), to_say("Gull")),
    *(to_say("Dolphin"), to_say("Turtle"), to_say("Seal"), to_say("Dragonfly"), to_say("Swan")),
    *(to_say("Seahorse"), to_say("Octopus"), to_say("Tern"), to_say("Frog"), to_say("Kingfisher")),
    *(to_say("Beaver"), to_say("Salmon"), to_say("Pelican"), to_say("Crab"), to_say("Eider")),
    *(to_say("Trout"), to_say("Penguin"), to_say("Sandpiper"), to_say("Lobster"), to_say("Stork")),
    *(to_say("Limpet"), to_say("Flamingo"), to_say("Cormorant"), to_say("Stickleback"), to_say("Crane")),
    to_say("Water flea"),
)


def creature(place: int) -> str:
    """The name of the cup at that place, from 0 on; after the last the list begins anew, numbered."""
    again, which = divmod(place, len(CREATURES))
    name = say(CREATURES[which])
    return f"{name} {again + 1}" if again else name


def in_every_language() -> list[str]:
    """All of them, in English and in German."""
    found = []
    for language in ("en", "de"):
        with spoken(language):
            found += [say(one) for one in CREATURES]
    return found
