"""The measuring sheet as a page to print, and as a workbook to fill in."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from itertools import groupby
from string import ascii_uppercase

from knockon.queries.intake.measuring.lines import Line, MeasuringSheet, Side
from knockon.queries.ui.prints.typeset import typeset
from knockon.queries.ui.prints.workbook import measuring_workbook
from knockon.queries.ui.sentences import prints as say

WORKBOOK, PAGE = ".xlsx", ".pdf"
FEWEST_LINES, LONGEST_IN_PLACE = 6, 60
"""A way to measure that so many lines share, and that is longer, is printed once."""
LETTERS = ascii_uppercase


def measuring_files(sheet: MeasuringSheet) -> Mapping[str, bytes]:
    """The files of a measuring sheet, by their ending."""
    return {WORKBOOK: measuring_workbook(sheet), PAGE: measuring_page(sheet)}


def measuring_page(sheet: MeasuringSheet) -> bytes:
    """The measuring sheet as a PDF."""
    ways = _ways(sheet)
    data: dict[str, object] = {
        "title": say.MEASURING_SHEET.format(vehicle=sheet.vehicle),
        "beside": sheet.title,
        "page_of": say.PAGE,
        "layout": say.MADE_OF.format(layout=sheet.layout),
        "by": say.BY_WHOM,
        "on": say.ON_DATE,
        "how_to_fill": say.HOW_TO_FILL.splitlines(),
        "read_first": say.CAUTIONS,
        "cautions": sheet.cautions,
        "columns": [
            say.LINE, say.SIZE, say.HOW, say.READING, say.GIVE_OR_TAKE, say.DONT_KNOW, say.NONE_THERE,
        ],
        "ways_heading": say.WAYS,
        "ways": [{"letter": letter, "how": how} for how, letter in ways.items()],
        "sides": [_side(sheet, side, ways) for side in sheet.sides],
    }  # fmt: skip
    return typeset("measuring", data)


def side_heading(side: str) -> str:
    """What the lines of a side are headed with."""
    return say.OF_SIDE.format(side=side.capitalize()) if side else say.OF_VEHICLE


def _side(sheet: MeasuringSheet, side: Side, ways: Mapping[str, str]) -> dict[str, object]:
    words = dict(sheet.stages)
    stages = []
    for reached, lines in groupby(side.numbered, key=lambda pair: pair[1].reached):
        places = [
            {"name": position, "lines": [_line(number, line, ways) for number, line in of_it]}
            for position, of_it in groupby(lines, key=lambda pair: pair[1].position)
        ]
        heading = words[reached]
        stages.append({"heading": heading[:1].upper() + heading[1:], "places": places})
    return {"heading": side_heading(side.side), "stages": stages}


def _line(number: str, line: Line, ways: Mapping[str, str]) -> dict[str, str]:
    how = [say.WAY.format(letter=ways[line.how]) if line.how in ways else line.how]
    if line.datatype == "code" and line.offered:
        how.append(say.ONE_OF.format(codes=", ".join(line.offered)))
    alike = line.feature == line.dimension
    size = line.feature if alike else say.FEATURE_SIZE.format(feature=line.feature, size=line.dimension)
    return {
        "number": number,
        "size": size,
        "tool": line.tool,
        "how": " ".join(how),
        "unit": line.unit,
        "within": line.within,
    }


def _ways(sheet: MeasuringSheet) -> dict[str, str]:
    """The long ways to measure that many lines share, each with its letter: they are said once, in front."""
    used = Counter(line.how for side in sheet.sides for line in side.lines)
    long = [how for how, times in used.items() if times >= FEWEST_LINES and len(how) > LONGEST_IN_PLACE]
    return dict(zip(long, LETTERS, strict=False))
