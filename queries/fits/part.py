"""One part: its features, dimensions in mm and inch, sources, what it touches, who sells it, what is said of it."""

from __future__ import annotations

import msgspec

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Places
from knockon.graph.model.schema import column_of, part_of
from knockon.graph.model.things import SIDES, Claim, Feature, Part
from knockon.queries.answers import SHORT_CAUTIONS, Answer, BestOffer, short_cautions_on
from knockon.queries.fits.by_size import same_by_size
from knockon.queries.fits.checking.candidates import new_parts
from knockon.queries.fits.checking.evidence import Value, values_of
from knockon.queries.fits.checking.size_names import FeatureSize
from knockon.queries.fits.number_chains import SUPERSEDED_BY, NumberChain, chain_of


class FeatureShown(msgspec.Struct, frozen=True):
    """One feature: recorded sizes, or known absent by the sources named."""

    of: str
    name: str
    kind: str
    absent_by: tuple[str, ...]
    sizes: tuple[Value, ...]
    not_recorded: tuple[str, ...]


class Touch(msgspec.Struct, frozen=True):
    """A joint that the part is in: its own feature there, and the position on the other side."""

    joint: str
    position: str
    feature: str
    other_position: str


class PartAnswer(Answer, frozen=True):
    """Everything that the records say of one part. ``same_sizes``: other numbers that record the same sizes at all its
    joints, found by size and not by claim. ``hand_sign``: of a part for one side, how to see which
    that is (common practice); blank where nobody says it."""

    part: str
    name: str
    maker: str
    part_type: str
    hand: str
    one_use: bool
    as_written: str
    source: str
    mirror_of: str
    drawn_as: str
    positions: tuple[str, ...]
    members: tuple[str, ...]
    features: tuple[FeatureShown, ...]
    touches: tuple[Touch, ...]
    figures: tuple[str, ...]
    claims: tuple[str, ...]
    chain: NumberChain
    offers: tuple[BestOffer, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...] = SHORT_CAUTIONS
    hand_sign: str = ""
    same_sizes: tuple[str, ...] = ()


def show_part(catalogue: Catalogue, number: str) -> PartAnswer:
    """Everything about a part. Raises UnknownNameError."""
    part: Part = catalogue.find("part", number)
    things = [part.part, *_read_things(catalogue, part.part)]
    members = catalogue.set_members.get(part.part, ())
    things += [f"{m.set}/{m.position}" + (f"/{m.side}" if m.side else "") for m in members]
    touches, figures, positions = _places(catalogue, part)
    return PartAnswer(
        part=part.part,
        name=part.name,
        maker=part.maker,
        part_type=part.part_type,
        hand=part.hand,
        one_use=part.one_use,
        as_written=part.as_written,
        source=part.source,
        mirror_of=part.mirror_of,
        drawn_as=part.drawn_as,
        positions=positions,
        members=tuple(
            f"{m.quantity} x {m.side} {m.position}".replace("  ", " ")
            + (f", drawn as {m.as_part}" if m.as_part else "")
            for m in members
        ),
        features=tuple(f for t in things for f in _features(catalogue, t)),
        touches=touches,
        figures=figures,
        claims=tuple(
            _claimed(catalogue, c, part.part)
            for c in catalogue.claims_on.get(part.part, ())
            if c.claim != SUPERSEDED_BY
        ),
        chain=chain_of(catalogue, part.part),
        offers=tuple(
            BestOffer(o.supplier, o.price / o.pack_size + o.exchange_surcharge, o.exchange_surcharge)
            for o in catalogue.offers.get(part.part, ())
        ),
        notes=tuple(n.note for n in catalogue.notes.values() if part.part in n.parts),
        cautions=short_cautions_on(catalogue),
        hand_sign=catalogue.vocabulary.hand_sign(part.part_type) if part.hand in SIDES else "",
        same_sizes=same_by_size(catalogue, part),
    )


def _read_things(catalogue: Catalogue, number: str) -> list[str]:
    """The particular things of a number that were read in their place, each with readings of its own."""
    read = (i for i in catalogue.items.values() if i.vehicle and number == i.part)
    return sorted(i.item for i in read if any(_own(f) for f in catalogue.features_of(i.item).values()))


def _own(feature: Feature) -> bool:
    """Whether something is said of the thing itself, and not of its number only."""
    sizes = any(not s.of_number for statements in feature.dimensions.values() for s in statements)
    return sizes or any(not s.of_number for s in (*feature.absent, *feature.there))


def _claimed(catalogue: Catalogue, claim: Claim, part: str) -> str:
    """A claim as it is about this part: "goes with" and "same as" say the same of both that they name."""
    about = claim.vehicle or (claim.other_part if claim.part == part else claim.part)
    source = catalogue.sources.get(claim.source)
    by = ", ".join(x for x in ((claim.source, source.member, source.date) if source else ()) if x)
    said = f"{claim.claim} {about}" + (f" ({claim.text})" if claim.text else "")
    return f"{said}, by {by} ({source.standing})" if source else said


def _features(catalogue: Catalogue, thing: str) -> list[FeatureShown]:
    shown = []
    for name, feature in catalogue.features_of(thing).items():
        if thing in catalogue.items and not _own(feature):
            continue
        kind = catalogue.vocabulary.kinds[feature.kind]
        sizes = [
            v
            for d in feature.dimensions
            if part_of(d) in ("", "major")
            for v in values_of(catalogue.vocabulary, feature, d, thing, FeatureSize("", column_of(d)))
        ]
        recorded = {column_of(d) for d in feature.dimensions}
        missing = () if feature.absent else tuple(c.name for c in kind.columns if c.name not in recorded)
        shown.append(
            FeatureShown(thing, name, kind.label, tuple(a.source for a in feature.absent), tuple(sizes), missing)
        )
    return shown


def _places(catalogue: Catalogue, part: Part) -> tuple[tuple[Touch, ...], tuple[str, ...], tuple[str, ...]]:
    touches: dict[Touch, None] = {}
    figures: dict[str, None] = {}
    positions: dict[str, None] = {}
    for layout in catalogue.layouts.values():
        places = Places(layout)
        own = {p.position for p in places.all if any(new_parts(catalogue, places, p, {part.part}))}
        positions |= dict.fromkeys(p.position for p in layout.positions if p.position in own)
        for joint in layout.joints:
            for end, other in zip(joint.ends, joint.ends[::-1], strict=True):
                if end.position in own:
                    touches[Touch(joint.joint, end.position, end.feature, other.position)] = None
        figures |= {f.figure: None for f in layout.figures if any(t.position in own for t in f.terms)}
    return tuple(touches), tuple(figures), tuple(positions)
