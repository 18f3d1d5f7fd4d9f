"""A verdict with all it rests on, as text: the verdict first, then the conditions side by side, margins, sources."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from knockon.graph.judge.verdicts import Verdict
from knockon.queries.fits.checking.evidence import Evidence, Line, Value
from knockon.queries.fits.checking.size_names import SizeOf
from knockon.queries.ui import units
from knockon.queries.ui.naming import Naming, listed, sentence
from knockon.queries.ui.sentences import fits as say
from knockon.queries.ui.terminal.blocks import BAD, GOOD, QUIET, STRONG, WARN, Block, Box, Grid, Para

TONES = {
    Verdict.FITS: GOOD, Verdict.FITS_WITH_WORK: GOOD, Verdict.FITS_ON_PAPER: WARN, Verdict.NOT_KNOWN: WARN,
    Verdict.DISPUTED: WARN, Verdict.DO_NOT_USE: BAD, Verdict.DOES_NOT_FIT: BAD,
}  # fmt: skip


def verdict_blocks(verdict: Verdict, checks: Sequence[Evidence] = ()) -> list[Block]:
    """The verdict on these checks, as loud as it has to be."""
    if verdict is Verdict.DO_NOT_USE:
        return [Box((verdict.upper(), *(say.DANGER if go_together(checks) else say.WARNING)))]
    text = say.VERDICT.format(verdict=verdict.upper(), meaning=say.MEANING[verdict])
    return [Para(text, tone=TONES[verdict])]


def go_together(checks: Sequence[Evidence]) -> bool:
    """Whether parts that must not be used together are known to go together: all the conditions of assembly agree, and
    what rules them out is no figure (too little room may also mean none)."""
    if any(e.kind == "figure" for e in checks if e.verdict is Verdict.DO_NOT_USE):
        return False
    lines = {e.check: [x for x in e.lines if x.sort == "assembly" and x.need != "told"] for e in checks}
    if any(e.kind == "joint" and not lines[e.check] for e in checks if e.verdict is Verdict.DO_NOT_USE):
        return False
    states = [x.state for found in lines.values() for x in found]
    return bool(states) and all(state == "yes" for state in states)


def state_word(line: Line) -> str:
    """The state of a condition in one or two words."""
    if line.state == "yes":
        return say.AGREE
    if line.state == "no":
        return say.NO
    return line.state.removeprefix("open: ") if line.state.startswith("open") else line.state


def _stated(values: Sequence[Value], thing: str) -> str:
    """The sizes of one thing that compute, each once, with the dimension where there are several."""
    own = [v for v in values if v.of == thing and v.computes]
    dimensions = dict.fromkeys(v.dimension for v in own)
    if len(dimensions) > 1 and all(v.is_part for v in own):
        return listed(list(dict.fromkeys(v.written for v in own)), "or")
    said = []
    for dimension in dimensions:
        sizes = listed(list(dict.fromkeys(units.size(v) for v in own if v.dimension == dimension)), "or")
        name = dimension.column
        said.append(say.DIMENSION.format(name=name, size=sizes) if len(dimensions) > 1 else sizes)
    return ", ".join(said)


def _usual(line: Line, thing: str) -> str:
    """A code of one thing that counts because it is the usual one."""
    return listed([say.USUAL.format(code=x.code) for x in line.assumed if x.of == thing])


def joint_grid(naming: Naming, evidence: Evidence) -> Grid:
    """The conditions of a joint, both sides beside each other."""
    first, second = evidence.things[0], evidence.things[-1]
    rows = []
    for line in evidence.lines:
        if line.need == "told":
            continue
        left, right = (_stated(line.values, thing) or _usual(line, thing) for thing in (first, second))
        name = line.label if line.need != "supporting" else say.SUPPORTING.format(label=line.label)
        rows.append((name, left or say.NOT_RECORDED, right or say.NOT_RECORDED, state_word(line), _room(line)))
    heads = [naming.number_of(first), naming.number_of(second)]
    if heads[0] == heads[1]:
        heads = [naming.thing(first), naming.thing(second)]
    condition, margin = say.CONDITION_HEADS
    return Grid(tuple(rows), (condition, *heads, "", margin), indent=2)


def told(evidence: Evidence) -> list[Block]:
    """Numbers that are told beside the verdict and judge nothing; of things that do not go together only those that
    are about one of them."""
    said = [
        f"{x.label} {units.amount(x.low, x.high, x.unit)}"
        for x in evidence.lines
        if x.need == "told" and x.state == "told" and x.holds
    ]
    return [Para(say.TOLD.format(numbers="; ".join(said)), indent=2)] if said else []


def _room(line: Line) -> str:
    if line.state == "no":
        return units.miss(line)
    asked = units.window(line)
    if line.state == "yes":
        return asked if units.asks_equality(line) else units.margin(line)
    return say.NEEDED.format(window=asked) if asked else ""


def figure_grid(naming: Naming, evidence: Evidence) -> Grid:
    """The terms of a stack or figure, and what they come to."""
    rows = [(naming.thing(v.of), v.dimension.replace(".major", ""), units.size(v))
            for line in evidence.lines for v in line.values if v.computes]  # fmt: skip
    return Grid(tuple(rows), say.TERM_HEADS, indent=2)


def figure_sum(line: Line) -> str:
    """What a stack or figure comes to, beside its limits."""
    if line.low is None:
        return say.NO_SUM
    text = units.amount(line.low, line.high, line.unit)
    asked, room = units.window(line), units.margin(line)
    text = say.SUM_NEEDED.format(amount=text, window=asked) if asked else text
    if not room:
        return text
    lacking = line.margin is not None and line.margin < 0
    return (say.ROOM_LACKING if lacking else say.ROOM_LEFT).format(sum=text, margin=room)


def evidence_blocks(
    naming: Naming, evidence: Evidence, with_sources: bool = True, in_short: bool = False
) -> list[Block]:
    """One check in full: verdict, why not, the sizes, what they rest on, what to measure; ``in_short``: without what
    it rests on."""
    heading = say.CHECK.format(check=evidence.check, verdict=evidence.verdict)
    blocks: list[Block] = [Para(heading, tone=STRONG if not evidence.verdict.is_no else BAD)]
    blocks += [Para(sentence(line.says), mark=">", indent=2, tone=BAD) for line in evidence.lines if line.says]
    if evidence.kind == "joint":
        blocks += [joint_grid(naming, evidence), *told(evidence)]
    else:
        blocks.append(Para(sentence(figure_sum(evidence.lines[0])), indent=2))
        blocks += [figure_grid(naming, evidence)] if any(v.computes for x in evidence.lines for v in x.values) else []
    if evidence.method:
        blocks.append(Para(say.BY_METHOD.format(method=sentence(evidence.method)), indent=2))
    blocks += [] if in_short else rests_on(naming, evidence, with_sources)
    if evidence.to_measure and not in_short:
        sizes = "; ".join(measured_words(naming, evidence.to_measure))
        blocks.append(Para(say.MEASURE_THESE.format(sizes=sizes), indent=2, tone=WARN))
    return blocks


def measured_words(naming: Naming, sizes: Iterable[str]) -> list[str]:
    """Open sizes in words: ``ROWAN-902, stub end: length``; several of one thing and feature together. What is
    no size is said as it stands."""
    grouped: dict[str, list[str]] = {}
    for size in sizes:
        if isinstance(size, SizeOf):
            where = say.SIZES_OF.format(thing=naming.thing(size.thing), feature=size.feature)
            grouped.setdefault(where, []).append(size.dimension + size.remark)
        else:
            grouped[size] = []
    said = []
    for where, dimensions in grouped.items():
        other, both = where.replace("(left ", "(right "), where.replace("(left ", f"({say.LEFT_AND_RIGHT} ")
        if where != other and grouped.get(other) == dimensions:
            where = both
        elif where != (left := where.replace("(right ", "(left ")) and grouped.get(left) == dimensions:
            continue  # said with the left one
        said.append(say.SIZES_AT.format(where=where, dimensions=listed(dimensions)) if any(dimensions) else where)
    return said


def used_sources(naming: Naming, evidence: Evidence) -> str:
    """The sources whose sizes compute, and the weakest standing among those that had to be there."""
    values = (v for line in evidence.lines for v in line.values if v.computes)
    used = dict.fromkeys(naming.source(v.source, v.standing) for v in values)
    sources = listed(list(used))
    if evidence.weakest:
        return say.SIZES_FROM_WEAKEST.format(sources=sources, standing=evidence.weakest) if used else ""
    return say.SIZES_FROM.format(sources=sources) if used else ""


def rests_on(naming: Naming, evidence: Evidence, with_sources: bool) -> list[Block]:
    """Where the sizes come from, claims, and what was stated too and not used."""
    said = [used_sources(naming, evidence)] if with_sources else []
    if evidence.claimed:
        said.append(_claimed(naming, evidence))
    values = (
        v for line in evidence.lines for v in line.values if not v.computes and (not v.is_part or v.low is not None)
    )
    said += dict.fromkeys(_not_used(naming, v) for v in values)
    return [Para(text, indent=2, tone=QUIET) for text in said if text]


def _not_used(naming: Naming, value: Value) -> str:
    size = say.SIZE_STATED.format(dimension=value.dimension.replace(".major", ""), size=units.size(value))
    template = say.NOT_USED_OF_NUMBER if value.of_number else say.NOT_USED
    return template.format(thing=naming.thing(value.of), size=size, source=naming.source(value.source, value.standing))


def _claimed(naming: Naming, evidence: Evidence) -> str:
    """What is claimed, and by whom; where it is claimed of another number, what says that this is the same part."""
    if evidence.stated_by:
        return say.STATED_BY_SET.format(part=evidence.stated_by)
    said = []
    for one in evidence.claims:
        claim = say.CLAIMS[one.claim].format(part=one.part, about=one.about)
        by = naming.source(one.source, one.standing)
        said.append(say.BY.format(claim=claim, source=by) if one.source else claim)
    return say.CLAIM_BY.format(claims="; ".join(said)) if said else say.SOLD_AS_SET


def limits_blocks(checks: Sequence[Evidence]) -> list[Block]:
    """Where the limits come from; checks that take theirs from the same place stand together."""
    found: dict[tuple[str, ...], list[str]] = {}
    for evidence in checks:
        sources = tuple(dict.fromkeys(x.source for x in evidence.lines if x.source and x.need != "told"))
        if sources:
            found.setdefault(sources, []).append(evidence.check)
    return [
        Para(say.LIMITS.format(checks="; ".join(checks), sources="; ".join(sources)), mark="-", tone=QUIET)
        for sources, checks in found.items()
    ]
