"""The answer of ``knockon fits --on all`` as text: on how many vehicles first, then each verdict with its vehicles."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layout_words import DANGER
from knockon.queries.answers import everywhere
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.on_all import FitsOnAllAnswer, OnVehicle
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.naming import Naming, count, listed, places_in_words, plural, sentence
from knockon.queries.ui.sentences import fits as say
from knockon.queries.ui.terminal.blocks import BAD, GOOD, QUIET, WARN, Block, Gap, Heading, Para
from knockon.queries.ui.texts.cautions import in_short
from knockon.queries.ui.texts.fits.dangers import dangers_first
from knockon.queries.ui.texts.fits.evidence import TONES, figure_sum, measured_words, verdict_blocks
from knockon.queries.ui.texts.fits.fits import newer_blocks
from knockon.queries.ui.texts.fits.links import agreement, no_sentence

ORDER = (Verdict.DO_NOT_USE, *(v for v in Verdict if v is not Verdict.DO_NOT_USE))
"""The danger first, then from good to bad."""
MOST, NAMED, SIZES, THINGS, WRONG = 5, 6, 3, 4, 2
"""On the first page: groups of vehicles, vehicles named in one, sizes to measure, things to measure on the vehicle, and
vehicles on which something is wrong as they stand."""


def on_all_text(
    catalogue: Catalogue, answer: FitsOnAllAnswer, shown: Shown, ask_on: str, ask: str, partners: Sequence[str]
) -> Sequence[Block]:
    """The answer on one page, or whole. ``ask_on``: the command for one vehicle, whose name follows; ``ask``: this
    command; ``partners``: for each part the command that shows what goes together with it."""
    naming = Naming(catalogue)
    blocks: list[Block] = [*_head(naming, answer), Para(answer.cautions[0], tone=WARN)]
    blocks += [Para(c, mark="!", tone=BAD) for c in answer.cautions if c not in everywhere(catalogue)]
    blocks += [*_wrong(catalogue, answer, shown.full), *newer_blocks(answer.superseded)]
    left = None if shown.full else MOST
    hidden = 0
    for verdict in (*ORDER, None):
        alike = [v for v in answer.vehicles if v.verdict is verdict]
        if not alike:
            continue
        groups = _grouped(catalogue, answer, alike)
        most = len(groups) if left is None else max(1, left)
        blocks += [*_heading(answer, verdict, alike), *_danger(verdict, alike)]
        for said, vehicles in groups[:most]:
            blocks.append(Para(_line(vehicles, said, shown.full), mark="-", tone=_tone(verdict)))
            blocks += _measure(catalogue, answer, vehicles[0], shown.full)
        hidden += sum(len(vehicles) for _, vehicles in groups[most:])
        left = None if left is None else left - len(groups[:most])
    if hidden:
        blocks.append(Para(say.MORE_VEHICLES.format(vehicles=count(hidden, naming.machine, plural(naming.machine)))))
    if shown.full:
        return [*blocks, Gap(), *(Para(c, tone=QUIET) for c in answer.cautions[1:] if c in everywhere(catalogue))]
    open_ones = [v for v in answer.vehicles if v.verdict is not None and not v.verdict.is_no]
    first = [f"{ask_on} {shlex.quote(open_ones[0].vehicle)}"] if open_ones else list(partners[:1])
    return [*blocks, Gap(), in_short(catalogue, answer.cautions), *next_blocks([*first, f"{ask} --full"])]


def _head(naming: Naming, answer: FitsOnAllAnswer) -> Iterator[Block]:
    machine = naming.machine
    yield Para(say.ON_ALL.format(parts=listed([naming.part(p) for p in answer.parts]), machine=machine))
    of = len(answer.vehicles)
    if not answer.applies:
        yield Para(say.FITS_NOWHERE.format(vehicles=count(of, machine, plural(machine))), tone=WARN)
        return
    template = say.FITS_EACH if answer.fits == of else say.FITS_SOME if answer.fits else say.FITS_NONE
    said = [template.format(fits=answer.fits, vehicles=count(of, machine, plural(machine)))]
    number = {v: sum(r.verdict is v for r in answer.vehicles) for v in ORDER}
    said += [
        say.SO_MANY.format(verdict=sentence(v).removesuffix("."), number=number[v])
        for v in ORDER
        if number[v] and v not in (Verdict.FITS, Verdict.FITS_WITH_WORK)
    ]
    without = of - answer.applies
    said += [say.DO_NOT_APPLY.format(number=without)] if without else []
    tone = GOOD if answer.is_good and not without else BAD if answer.do_not_use else WARN
    yield Para(" ".join(said), tone=tone)
    if answer.do_not_use:
        names = [v.vehicle for v in answer.vehicles if v.verdict is Verdict.DO_NOT_USE]
        yield Para(say.NOT_ON.format(vehicles=_names(names, whole=False)), mark="!", tone=BAD)


def _wrong(catalogue: Catalogue, answer: FitsOnAllAnswer, whole: bool) -> Iterator[Block]:
    """What is wrong on a vehicle as it stands, whatever the parts are; what is safety-critical first."""
    found = sorted((v for v in answer.vehicles if v.wrong), key=lambda v: -_gravity(v))
    for on in found if whole else found[:WRONG]:
        danger = Naming.on(catalogue, on.vehicle).words[DANGER]
        gravity = _gravity(on)
        template = (say.REMARK_ON, say.WRONG_ON, say.DANGER_ON)[gravity]
        checks = _first("; ", [w.check for w in dangers_first(on.wrong)], SIZES, whole)
        said = template.format(lead=danger, vehicle=on.vehicle, checks=checks)
        yield Para(said, mark="!" if gravity else "-", tone=BAD if gravity else WARN)
    if not whole and len(found) > WRONG:
        names = _names([v.vehicle for v in found[WRONG:]], whole)
        yield Para(say.WRONG_TOO.format(vehicles=names), mark="!", tone=BAD)


def _gravity(on: OnVehicle) -> int:
    """How grave what is wrong on a vehicle is: 2 a danger, 1 wrong, 0 remarks only."""
    grave = [w for w in on.wrong if not w.is_remark]
    return 2 if any(w.safety_critical for w in grave) else int(bool(grave))


def _heading(answer: FitsOnAllAnswer, verdict: Verdict | None, alike: Sequence[OnVehicle]) -> Iterator[Block]:
    name = say.NOT_APPLICABLE if verdict is None else verdict
    yield Heading(say.VERDICT_OF.format(verdict=sentence(name).removesuffix("."), number=len(alike)))


def _danger(verdict: Verdict | None, alike: Sequence[OnVehicle]) -> list[Block]:
    """The box of what goes together and must not be used."""
    if verdict is not Verdict.DO_NOT_USE:
        return []
    return verdict_blocks(verdict, [v.deciding for v in alike if v.deciding is not None])


def _tone(verdict: Verdict | None) -> str:
    return QUIET if verdict is None else TONES[verdict]


def _grouped(
    catalogue: Catalogue, answer: FitsOnAllAnswer, vehicles: Sequence[OnVehicle]
) -> list[tuple[str, list[OnVehicle]]]:
    """The vehicles of which the same is to be said, with what that is."""
    found: dict[tuple[str, object], list[OnVehicle]] = {}
    for vehicle in vehicles:
        said = _says(catalogue, answer, vehicle)
        found.setdefault((said, (vehicle.to_measure, vehicle.to_read)), []).append(vehicle)
    return [(said, alike) for (said, _), alike in found.items()]


def _line(vehicles: Sequence[OnVehicle], says: str, whole: bool) -> str:
    names = [(say.AS_MADE if v.as_made else say.AS_FOUND).format(vehicle=v.vehicle) for v in vehicles]
    return say.VEHICLES_SAY.format(vehicles=_names(names, whole), says=says)


def _names(names: Sequence[str], whole: bool) -> str:
    if whole or len(names) <= NAMED:
        return listed(names)
    return listed([*names[:NAMED], say.MORE.format(number=len(names) - NAMED)])


def _says(catalogue: Catalogue, answer: FitsOnAllAnswer, on: OnVehicle) -> str:
    """Where the parts could stand on a vehicle, what is special about it, and the check that decides."""
    naming = Naming.on(catalogue, on.vehicle)
    if on.no_place:
        return sentence(say.HAVE_NO_PLACE.format(parts=listed([naming.part(p) for p in on.no_place])))
    said = [sentence(places_in_words(on.places))]
    if on.verdict is None:
        return " ".join((*said, say.DO_NOT_MEET.format(hint=on.hint)))
    titled = [catalogue.layouts[catalogue.vehicles[on.vehicle].layout].titled(a) for a in on.arrangement]
    said += [say.OTHER_ARRANGEMENT.format(arrangement=listed(titled), machine=naming.machine)] if titled else []
    said += [say.STANDS_THERE] if on.there else []
    said += [say.EMPTY.format(position=v.position, given=listed(v.given)) for v in on.empty]
    if on.deciding is not None:
        said.append(_decides(naming, on.deciding))
        said += [say.CHECKS_ALIKE.format(checks=count(on.alike - 1, "more check"))] if on.alike > 1 else []
    elif on.left_out:
        said.append(say.LEFT_OUT_THERE.format(positions=listed([say.THE.format(name=v.position) for v in on.left_out])))
    return " ".join(said)


def _decides(naming: Naming, evidence: Evidence) -> str:
    """The check that decides, with its sizes as far as there are any."""
    if evidence.verdict.is_no:
        says = no_sentence(naming, evidence)
    else:
        says = agreement(evidence) if evidence.kind == "joint" else figure_sum(evidence.lines[0])
    check = sentence(evidence.check).removesuffix(".")
    return sentence(say.SAYS.format(check=check, says=says) if says else say.DECIDES.format(check=check))


def _measure(catalogue: Catalogue, answer: FitsOnAllAnswer, on: OnVehicle, whole: bool) -> Iterator[Block]:
    """What would decide: open sizes, and what stands on the vehicle with no more than its number's sizes."""
    naming = Naming.on(catalogue, on.vehicle)
    sizes = measured_words(naming, on.to_measure)
    if sizes:
        yield Para(say.MEASURE_THESE.format(sizes=_first("; ", sizes, SIZES, whole)), indent=3, tone=WARN)
    things = list(dict.fromkeys(naming.thing(thing) for thing in on.to_read))
    if things:
        where = naming.machine
        yield Para(
            say.MEASURE_THERE.format(vehicle=where, things=_first(", ", things, THINGS, whole)), indent=3, tone=WARN
        )


def _first(joiner: str, words: Sequence[str], most: int, whole: bool) -> str:
    if whole or len(words) <= most + 1:
        return joiner.join(words)
    return joiner.join((*words[:most], say.MORE.format(number=len(words) - most)))
