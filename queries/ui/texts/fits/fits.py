"""The answer of ``knockon fits`` as text: one page with the verdict and the check that decides; the rest on demand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.model.nearest import nearest
from knockon.queries.answers import everywhere
from knockon.queries.fits.checking.evidence import Evidence, is_bare_claim
from knockon.queries.fits.fits import FitsAnswer
from knockon.queries.fits.laid_out import NotJudged
from knockon.queries.fits.number_chains import Step
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.naming import Naming, count, listed, sentence
from knockon.queries.ui.sentences import fits as say
from knockon.queries.ui.terminal.blocks import BAD, QUIET, WARN, Block, Gap, Heading, Para, bullets
from knockon.queries.ui.texts.cautions import in_short
from knockon.queries.ui.texts.club.notes import AGAINST, MADE, note_blocks, standing_of
from knockon.queries.ui.texts.fits.dangers import danger_blocks
from knockon.queries.ui.texts.fits.evidence import (
    evidence_blocks,
    figure_sum,
    limits_blocks,
    measured_words,
    rests_on,
    used_sources,
    verdict_blocks,
)
from knockon.queries.ui.texts.fits.links import agreement, assumed_words, no_sentence
from knockon.queries.ui.texts.fits.number_chain import superseded
from knockon.queries.ui.texts.fits.skipped import unchecked_blocks, unchecked_told

MOST_IN_FULL = 6
MOST_NEXT = 3
DECIDING, ROWS, OTHERS, SIZES, NOTES = 2, 10, 4, 5, 2
"""On the first page: so many deciding checks with their conditions, so many conditions of them, other checks told with
their sizes, sizes to measure, and notes."""


def fits_pages(
    catalogue: Catalogue, answer: FitsAnswer, shown: Shown, ask: str, partners: Sequence[str]
) -> Sequence[Block]:
    """What is asked for of the answer: its first page, some of its parts, or all. ``ask``: the command so far;
    ``partners``: for each part the command that shows what goes together with it.

    Raises UnknownNameError where no check has the name that ``shown`` asks about.
    """
    if shown.full:
        return fits_text(catalogue, answer)
    if answer.verdict is None:
        return [*fits_text(catalogue, answer), *next_blocks(partners[:MOST_NEXT])]
    naming = Naming.on(catalogue, answer.on)
    checks = answer.worst_first
    head = [*_title(naming, answer), *_head(naming, answer, checks), *_cautions(answer.cautions[:1])]
    if shown.parts:
        return [*head, *_parts(naming, answer, shown, checks), Gap(), in_short(naming.catalogue, answer.cautions)]
    return [*head, *_page(naming, answer, checks, ask, partners)]


def fits_text(catalogue: Catalogue, answer: FitsAnswer) -> Sequence[Block]:
    """The whole answer."""
    naming = Naming.on(catalogue, answer.on)
    blocks: list[Block] = [*_title(naming, answer)]
    if answer.verdict is None:
        together = [n for n in answer.not_judged if len(n.given) > 1]
        blocks += [Para(say.DO_NOT_MEET.format(hint=answer.hint), tone=WARN), *_cautions(answer.cautions[:1])]
        blocks += [Heading(say.NOT_JUDGED), *bullets(_not_judged(naming, together))] if together else []
        return [*blocks, *_unaccepted(naming.catalogue, answer), *_general(catalogue, answer)]
    checks = answer.worst_first
    blocks += [*_head(naming, answer, checks), *_cautions(answer.cautions[:1])]
    blocks += _in_full(naming, checks)
    blocks += _to_measure(naming, answer, checks, most=None)
    blocks += _notes(naming, checks)
    if answer.not_judged:
        blocks += [Heading(say.NOT_JUDGED), *bullets(_not_judged(naming, answer.not_judged))]
    return [*blocks, *_limits(naming, checks), *_general(catalogue, answer)]


def _title(naming: Naming, answer: FitsAnswer) -> Iterator[Block]:
    parts = listed([naming.part(p) for p in answer.parts])
    yield Para(say.ON_VEHICLE.format(parts=parts, vehicle=answer.on) if answer.on else say.PARTS.format(parts=parts))
    yield from danger_blocks(naming, answer.wrong)
    where = say.NOWHERE_ON.format(vehicle=answer.on) if answer.on else say.NOWHERE
    for number in answer.no_place:
        yield Para(say.NO_PLACE.format(part=naming.part(number), where=where), mark="!", tone=WARN)


def _head(naming: Naming, answer: FitsAnswer, checks: Sequence[Evidence]) -> Iterator[Block]:
    """The verdict, what it leaves open, and what nobody may overlook."""
    assert answer.verdict is not None
    if _decides(answer, checks) or answer.verdict is Verdict.DO_NOT_USE:
        yield from verdict_blocks(answer.verdict, checks)
    else:
        meaning = say.INCOMPLETE if answer.left_out else say.UNREAD
        yield Para(say.VERDICT.format(verdict=answer.verdict.upper(), meaning=meaning), tone=WARN)
    yield from _vacant(answer)
    if answer.not_judged and answer.verdict is Verdict.FITS:
        figures = [n.figure for n in answer.not_judged]
        few = figures if len(figures) < 4 else [*figures[:2], say.MORE.format(number=len(figures) - 2)]
        yield Para(say.AS_FAR_AS.format(checks=listed(few)), tone=WARN)
    yield from _unaccepted(naming.catalogue, answer)


def _decides(answer: FitsAnswer, checks: Sequence[Evidence]) -> bool:
    """Whether one of the checks has the verdict of the whole."""
    return bool(checks) and checks[0].verdict is answer.verdict


def _page(
    naming: Naming, answer: FitsAnswer, checks: Sequence[Evidence], ask: str, partners: Sequence[str]
) -> Iterator[Block]:
    """What one screen holds below the verdict: what decides, the other checks by verdict, what to measure."""
    deciding = _deciding(checks) if _decides(answer, checks) else []
    if deciding:
        alike = [e for e in checks if e.verdict is checks[0].verdict]
        yield Heading(_decided_by(len(deciding), len(alike), len(checks)))
    for i, evidence in enumerate(deciding):
        if i:
            yield Gap()
        yield from evidence_blocks(naming, evidence, with_sources=False, in_short=True)
    others = [e for e in checks if e not in deciding]
    if others:
        yield Heading(say.OTHER_CHECKS if deciding else say.ALL_CHECKS)
        yield from _by_verdict(naming, others)
    yield from _to_measure(naming, answer, checks, most=SIZES)
    telling, more = _telling(naming, checks)
    if telling:
        yield Heading(say.MEMBERS_FOUND)
        yield from telling
    yield Gap()
    if more:
        yield Para(say.NOTES_MORE.format(notes=sentence(count(more, "more note" if telling else "note"))[:-1]))
    if answer.not_judged and answer.verdict is not Verdict.FITS:
        yield Para(say.OTHERS_MORE.format(checks=sentence(count(len(answer.not_judged), "check"))[:-1]))
    yield in_short(naming.catalogue, answer.cautions)
    options = ["--why"] if others else []
    options += ["--notes"] if more or telling else []
    options += ["--others"] if answer.not_judged else []
    options += ["--evidence"] if checks else []
    instead = list(partners[:1]) if answer.verdict is not None and answer.verdict.is_no else []
    commands = [f"{ask} {option}" for option in (*options[: MOST_NEXT - len(instead)], "--full")]
    yield from next_blocks([*instead, *commands])


def _decided_by(shown: int, alike: int, checks: int) -> str:
    if shown < alike:
        return say.DECIDING_SOME.format(shown=shown, all=alike)
    if alike == checks:
        return say.ALL_CHECKS
    return say.DECIDING_MORE if alike > 1 else say.DECIDING


def _deciding(checks: Sequence[Evidence]) -> list[Evidence]:
    """The checks that the first page shows with their conditions: the first, and the next where there is room."""
    found: list[Evidence] = []
    rows = 0
    for evidence in (e for e in checks if e.verdict is checks[0].verdict and not is_bare_claim(e)):
        rows += max(len(evidence.lines), sum(len(line.values) for line in evidence.lines[:1]))
        if found and (rows > ROWS or len(found) == DECIDING):
            break
        found.append(evidence)
    return found


def _by_verdict(naming: Naming, checks: Sequence[Evidence]) -> Iterator[Block]:
    """Each verdict in a line with its checks; what is wrong with its reason."""
    noes = [e for e in checks if e.verdict.is_no]
    yield from bullets((_brief(naming, e) for e in noes[:OTHERS]), tone=BAD)
    rest = [e for e in checks if e not in noes[:OTHERS] and not is_bare_claim(e)]
    for verdict in dict.fromkeys(e.verdict for e in rest):
        names = "; ".join(e.check for e in rest if e.verdict is verdict)
        verdict_name = sentence(verdict).removesuffix(".")
        yield Para(say.CHECKS_OF_VERDICT.format(verdict=verdict_name, checks=names), mark="-")
    yield from _bare(checks)


def _bare(checks: Sequence[Evidence]) -> Iterator[Block]:
    """Checks for which nothing but a claim speaks."""
    bare = [e.check for e in checks if is_bare_claim(e)]
    if bare:
        yield Para(say.ON_A_CLAIM.format(checks="; ".join(bare)), mark="-")


def _telling(naming: Naming, checks: Sequence[Evidence]) -> tuple[list[Block], int]:
    """The notes that nobody may overlook, and how many others there are: those that found otherwise, and those which
    say how it was made to fit."""
    told = {name: e for e in checks for name in e.notes}
    catalogue = naming.catalogue
    first = [n for n, e in told.items() if standing_of(catalogue, catalogue.notes[n], e) in (AGAINST, MADE)]
    blocks = note_blocks(catalogue, checks, only=first[:NOTES])
    return blocks, len(told) - len(blocks)


def _parts(naming: Naming, answer: FitsAnswer, shown: Shown, checks: Sequence[Evidence]) -> Iterator[Block]:
    """The parts of the long answer by themselves."""
    if shown.why is not None:
        for evidence in _asked_about(checks, shown.why):
            yield Gap()
            yield from evidence_blocks(naming, evidence)
    if shown.measure:
        yield from _to_measure(naming, answer, checks, most=None)
    if shown.evidence:
        yield from _rests_on(naming, checks)
    if shown.notes:
        yield from _notes(naming, checks)
    if shown.others and answer.not_judged:
        yield Heading(say.NOT_JUDGED)
        yield from bullets(_not_judged(naming, answer.not_judged))


def _asked_about(checks: Sequence[Evidence], name: str) -> Sequence[Evidence]:
    found = [e for e in checks if not name or e.check.casefold() == name.casefold()]
    if name and not found:
        raise UnknownNameError("check", name, nearest(name, [e.check for e in checks]))
    return found


def _vacant(answer: FitsAnswer) -> Iterator[Block]:
    """Needed positions with nothing in them: left empty on purpose, and left out."""
    for vacancy in answer.empty:
        said = say.EMPTY.format(position=vacancy.position, given=listed(vacancy.given))
        said += say.COUNTS_ZERO.format(checks="; ".join(vacancy.figures)) if vacancy.figures else ""
        yield Para(said, mark="!", tone=BAD)
    if not answer.left_out:
        return
    where = say.NOT_RECORDED_ON.format(vehicle=answer.on) if answer.on else ""
    if len(answer.left_out) == 1:
        yield Para(say.LEFT_OUT_ONE.format(position=answer.left_out[0].position, where=where), tone=WARN)
        yield Para(say.NAME_IT, tone=WARN)
        return
    positions = listed([say.THE.format(name=v.position) for v in answer.left_out])
    yield Para(say.LEFT_OUT_MORE.format(positions=positions, where=where), tone=WARN)
    yield Para(say.NAME_THEM, tone=WARN)


def _cautions(texts: Sequence[str]) -> list[Block]:
    return [Para(text, tone=WARN) for text in texts]


def _general(catalogue: Catalogue, answer: FitsAnswer) -> Iterator[Block]:
    """The cautions that stand with every answer, but for the first, which stands with the verdict."""
    yield Gap()
    yield from (Para(c, tone=QUIET) for c in [c for c in answer.cautions if c in everywhere(catalogue)][1:])


def _unaccepted(catalogue: Catalogue, answer: FitsAnswer) -> list[Block]:
    """What is said of a part that no plan would use unasked, and of checks that were skipped: beside the verdict, not
    after it."""
    known = {*everywhere(catalogue), *unchecked_told(answer)}
    unaccepted: list[Block] = [Para(c, mark="!", tone=BAD) for c in answer.cautions if c not in known]
    return [*unaccepted, *newer_blocks(answer.superseded), *unchecked_blocks(answer)]


def newer_blocks(steps: Sequence[Step]) -> list[Block]:
    """By part the numbers that are said to have taken its place, each with its condition."""
    found: dict[str, list[str]] = {}
    for step in steps:
        found.setdefault(step.part, []).append(f"{step.by} ({step.condition})" if step.condition else step.by)
    return [Para(superseded(p, by), mark="-", tone=WARN) for p, by in found.items()]


def _in_full(naming: Naming, checks: Sequence[Evidence]) -> Iterator[Block]:
    """The checks with all that they rest on; of many only those that decide, the others in a line each."""
    one_source = len({used_sources(naming, e) for e in checks}) == 1
    rest = [e for e in checks if not is_bare_claim(e)]
    full = rest if len(rest) <= MOST_IN_FULL else [e for e in rest if e.verdict is checks[0].verdict]
    for evidence in full:
        yield Gap()
        yield from evidence_blocks(naming, evidence, with_sources=not one_source)
    brief = [e for e in rest if e not in full]
    if brief:
        yield Heading(say.IN_BRIEF)
        yield from bullets(_brief(naming, e) for e in brief)
    if len(rest) < len(checks):
        yield Gap()
        yield from _bare(checks)


def _brief(naming: Naming, evidence: Evidence) -> str:
    """One check in a line: verdict, the sizes that decide or agree, the weakest evidence."""
    if evidence.verdict.is_no:
        said = no_sentence(naming, evidence)
    else:
        sizes = agreement(evidence) if evidence.kind == "joint" else figure_sum(evidence.lines[0])
        weakest = say.WEAKEST.format(standing=evidence.weakest) if evidence.weakest else ""
        said = ". ".join(sentence(x)[:-1] for x in (sizes, weakest, *assumed_words(evidence.assumed)) if x)
    return say.CHECK_SAYS.format(check=evidence.check, verdict=evidence.verdict, says=sentence(said)).strip()


def _to_measure(naming: Naming, answer: FitsAnswer, checks: Sequence[Evidence], most: int | None) -> Iterator[Block]:
    """The sizes that would change the answer; ``most``: so many are shown."""
    if not checks or checks[0].verdict.is_no:  # no measurement undoes a no
        return
    unproven = [e for e in checks if e.verdict.is_unproven]
    said = measured_words(naming, dict.fromkeys(size for e in unproven for size in e.to_measure))
    kept = _kept_things(naming, answer, unproven)
    if not (said or kept):
        return
    some = most is not None and len(said) > most
    yield Heading(say.MEASURE_SOME.format(shown=most, all=len(said)) if some else say.MEASURE)
    yield from bullets(said[:most])
    if kept:
        yield Para(say.KEPT_NOT_MEASURED.format(vehicle=answer.on, things=", ".join(kept)), mark="-")


def _kept_things(naming: Naming, answer: FitsAnswer, checks: Sequence[Evidence]) -> list[str]:
    """What stands on the vehicle and was not measured there, of checks that fit on paper."""
    if not answer.on:
        return []
    found: dict[str, None] = {}
    for evidence in (e for e in checks if e.verdict is Verdict.FITS_ON_PAPER):
        for value in (v for line in evidence.lines if line.need == "required" for v in line.values):
            if value.computes and value.standing != "on the item" and naming.number_of(value.of) not in answer.parts:
                found[naming.thing(value.of)] = None
    return list(found)


def _notes(naming: Naming, checks: Sequence[Evidence]) -> Iterator[Block]:
    notes = note_blocks(naming.catalogue, checks)
    if notes:
        yield Heading(say.MEMBERS_FOUND)
        yield from notes


def _limits(naming: Naming, checks: Sequence[Evidence]) -> Iterator[Block]:
    """Where the limits come from, and the sizes where all come from the same sources."""
    sources = {used_sources(naming, e) for e in checks}
    rests = [Para(text, mark="-", tone=QUIET) for text in sources if text and len(sources) == 1]
    limits = limits_blocks(checks)
    if rests or limits:
        yield Heading(say.RESTS_ON)
        yield from (*rests, *limits)


def _rests_on(naming: Naming, checks: Sequence[Evidence]) -> Iterator[Block]:
    """What each check rests on, then where the limits come from."""
    for evidence in checks:
        said = rests_on(naming, evidence, with_sources=True)
        if said:
            yield Para(say.CHECK.format(check=evidence.check, verdict=evidence.verdict))
            yield from said
    limits = limits_blocks(checks)
    if limits:
        yield Heading(say.RESTS_ON)
        yield from limits


def _not_judged(naming: Naming, figures: Sequence[NotJudged]) -> list[str]:
    """Stacks and figures that need the same parts in one line; a size that is not recorded beside its own."""
    found: dict[tuple[str, ...], list[NotJudged]] = {}
    for figure in figures:
        found.setdefault(tuple(sorted(figure.needs)), []).append(figure)
    said = []
    for alike in found.values():
        lacking = dict.fromkeys(size for f in alike for size in f.not_recorded)
        needs = listed([say.THE.format(name=p) for p in alike[0].needs])
        text = say.NEEDS.format(checks="; ".join(f.figure for f in alike), parts=needs)
        sizes = "; ".join(measured_words(naming, lacking))
        said.append(text + (say.LACKS_SIZES.format(sizes=sizes) if lacking else ""))
    return said
