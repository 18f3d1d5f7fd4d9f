"""What things are called in a text: numbers with names, both hands in one, things of the records by their number."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import msgspec

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.drawings import member_thing, number_of
from knockon.graph.model.layout_words import MACHINE, words_of
from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.things import SIDES
from knockon.queries.plan.solving.asked import KEEP, RENEW, Asked


class Naming(msgspec.Struct, frozen=True):
    """Names, looked up in the records; ``layout``: the one that the answer is about, blank for all."""

    catalogue: Catalogue
    layout: str = ""

    @classmethod
    def on(cls, catalogue: Catalogue, vehicle: str) -> Naming:
        """Names for an answer about a vehicle."""
        known = catalogue.vehicles.get(vehicle)
        return cls(catalogue, known.layout if known else "")

    @property
    def words(self) -> Mapping[str, str]:
        """The words that are the layout's (``knockon.graph.model.layout_words``)."""
        known = self.catalogue.layouts.get(self.layout)
        layouts = [known] if known else self.catalogue.layouts.values()
        return words_of(layout.words for layout in layouts)

    @property
    def machine(self) -> str:
        """What the whole thing is called: ``vehicle``, or ``machine`` where no layout says it."""
        return self.words[MACHINE]

    def has_sides(self, vehicle: str) -> bool:
        """Whether the layout of a vehicle has corners, so that an answer is about both of its sides."""
        known = self.catalogue.vehicles.get(vehicle)
        layout = self.catalogue.layouts.get(known.layout) if known else None
        return layout is None or any(p.level == "corner" for p in layout.positions)

    def part(self, number: str) -> str:
        """The number with the part's name: ``ALDER-212 bearing spacer``."""
        known = self.catalogue.parts.get(number)
        return f"{number} {known.name}" if known and known.name else number

    def number_of(self, thing: str) -> str:
        """The number by which a thing of the records is known: of an item its part's, of a set's member the set's."""
        return number_of(thing, self.catalogue.items, self.catalogue.members)

    def thing(self, thing: str) -> str:
        """A thing in words: ``ALDER-213 (inner bearing)`` for a member of a set, an item with what it is."""
        item = self.catalogue.items.get(thing)
        if item is not None:
            return f"{item.part or thing} ({item.title})" if item.title else item.part or thing
        members = self.catalogue.members.get(thing, ())
        if not members:
            return thing
        sides = {m.side for m in members if member_thing(m) == thing}
        return f"{members[0].set} ({Place(members[0].position, *sides)})"

    def hands(self, numbers: Iterable[str]) -> str:
        """Numbers in a row, a left and a right one as ``ALDER-201L/R``."""
        return ", ".join(self.in_hands(numbers))

    def in_hands(self, numbers: Iterable[str]) -> list[str]:
        """Numbers, a left and a right one as one: ``ALDER-201L/R``."""
        left = list(dict.fromkeys(self._known_as(n) for n in numbers if n))
        said = []
        while left:
            one = left.pop(0)
            known = self.catalogue.parts.get(one)
            other = known.mirror_of if known else ""
            if other in left:
                left.remove(other)
                first, second = sorted((one, other))
                short = len(first) == len(second) and first[:-1] == second[:-1]
                said.append(f"{first}/{second[-1]}" if short else f"{first} and {second}")
            else:
                said.append(one)
        return said

    def _known_as(self, number: str) -> str:
        """An item without a number by its title."""
        item = self.catalogue.items.get(number)
        return f"({item.title})" if item is not None and item.title and number not in self.catalogue.parts else number

    def either_hand(self, number: str) -> str:
        """One number for a part and its mirror."""
        known = self.catalogue.parts.get(number)
        return min(number, known.mirror_of) if known and known.mirror_of else number

    def name_of(self, number: str) -> str:
        """The part's name, blank if it has none."""
        known = self.catalogue.parts.get(number)
        return known.name if known else ""

    def source(self, name: str, standing: str) -> str:
        """A source with its standing: ``quillmere-drawings (drawing)``; a note's with its member and date."""
        known = self.catalogue.sources.get(name)
        if not name:
            return f"the records ({standing})"
        more = ", ".join(x for x in ((known.member, known.date) if known else ()) if x)
        return f"{name}, {more} ({standing})" if more else f"{name} ({standing})"


def places_in_words(places: Sequence[Place]) -> str:
    """Places with both hands told at once: ``left and right wheel``; the order is kept."""
    positions: dict[str, list[str]] = {}
    for place in places:
        positions.setdefault(place.position, []).append(place.side)
    said = []
    for position, sides in positions.items():
        named = [s for s in SIDES if s in sides]
        said.append(f"{' and '.join(named)} {position}" if named else position)
    return ", ".join(said)


def asked_words(asked: Sequence[Asked]) -> str:
    """What was asked, as it was typed; both hands of a place together."""
    said: list[str] = []
    for option in (KEEP, RENEW):
        places = [p for a in asked if a.option == option for p in a.places]
        said += [f"{option} {places_in_words(places)}"] if places else []
    wishes = [a for a in asked if a.option not in (KEEP, RENEW)]
    return listed([f'"{a}"' for a in (*wishes, *said)])


def as_options(asked: Sequence[Asked]) -> list[str]:
    """What was asked, as the options that ask for it: ``--keep "outer joint"``; both hands of a place in one."""
    options: list[str] = []
    for said in asked:
        words = said.words
        if said.option in (KEEP, RENEW) and Asked(said.option, said.places[0].other_hand) in asked:
            words = said.places[0].position  # both hands
        options.append(f'--{said.option} "{words}"')
    return list(dict.fromkeys(options))


def count(how_many: int, one: str, more: str = "") -> str:
    """``1 check``, ``2 checks``."""
    return f"{how_many} {one if how_many == 1 else more or one + 's'}"


def plural(name: str) -> str:
    """More than one of a thing: ``rotors``; what ends in s stays as it is."""
    return name if name.endswith("s") else f"{name}s"


def listed(words: Sequence[str], joiner: str = "and") -> str:
    """``a``, ``a and b``, ``a, b and c``."""
    return f"{', '.join(words[:-1])} {joiner} {words[-1]}" if len(words) > 1 else "".join(words)


def sentence(text: str) -> str:
    """The text with a capital and a full stop."""
    text = text.strip()
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".!?" else ".")
