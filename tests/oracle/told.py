"""What is said without sizes: claims that things belong together, notes that they were made to."""

from __future__ import annotations

from tests.oracle.known import Thing
from tests.oracle.world import Joint, World


def _number_claims(world: World, one: str, other: str) -> bool:
    for claim in world.claims:
        if claim.part != one:
            continue
        if claim.claim == "goes with" and claim.about == other:
            return True
        if claim.claim == "listed for" and other in world.numbers_as_made.get(claim.about, ()):
            return True
    return False


def claimed_together(world: World, one: Thing, other: Thing) -> bool:
    """Whether a claim speaks for a joint of two things.

    A new set claims that its members fit.  What is claimed of a part is claimed of what is said to be
    the same as it.
    """
    if not one.number or not other.number:
        return False
    if one.number == other.number and one.number in world.set_named and not (one.stays and other.stays):
        return True
    return any(
        _number_claims(world, a, b) or _number_claims(world, b, a)
        for a in _called(world, one)
        for b in _called(world, other)
    )


def _called(world: World, thing: Thing) -> set[str]:
    """Its numbers, and all that anybody says to be one part with one of them, whichever is named first."""
    called = {thing.number, thing.as_part} - {""}
    pairs = [{c.part, c.about} for c in world.claims if c.claim == "same as"]
    for _ in pairs:  # a chain is no longer than there are pairs
        for pair in pairs:
            called |= pair if pair & called else set()
    return called


def made_to_fit(world: World, joint: Joint, one: Thing, other: Thing) -> bool:
    """Whether a note says that these two were made to fit at the joint."""
    numbers = ({one.number, one.as_part}, {other.number, other.as_part})
    return any(note.joint == joint.name and all(own & set(note.parts) for own in numbers) for note in world.notes)
