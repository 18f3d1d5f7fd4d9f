"""The W3C test suite of CSV on the Web: which of its validation tests concern what mappings use, and which do not.

Source: repository w3c/csvw, tests/manifest-validation.ttl at commit 96dc6d49 (the 282 entries) and tests/manifest.csv
at commit 9f4df8c9 (names, and the result that is expected of a validator). Only single files of the suite could be had,
several in a state older than the manifest. ``python -m tests.csvw.suite > docs/csvw.md`` makes the page.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from knockon.graph.mapping.metadata import MappingError, Metadata, describes, read_metadata, without_column

W3C = Path(__file__).parent / "w3c"
POSITIVE, WARNING, NEGATIVE = "positive", "warning", "negative"
TREE_OPS = ("GID", "On Street", "Species", "Trim Cycle", "Inventory Date")
"""The header of the suite's tree-ops.csv, as its tests' metadata gives the titles; the rows are not needed here."""


@dataclass(frozen=True, slots=True)
class Used:
    """A test of what is used. ``commit``: that of the file that was had, blank where none was."""

    number: str
    name: str
    expected: str
    commit: str = ""
    file: str = ""


USED = (
    Used("011", "tree-ops example with metadata", POSITIVE),
    Used("013", "tree-ops example from user metadata", POSITIVE),
    Used("073", "invalid @language", WARNING, "eb2ce865ae7325818ca68f4a53249a305cce88a9"),
    Used("074", "empty tables", NEGATIVE),
    Used("077", "invalid tableGroup @id", NEGATIVE, "a6b7ee857fdb94df27957d65aeaa82e85f0b6448"),
    Used("078", "invalid table @id", NEGATIVE, "a6b7ee857fdb94df27957d65aeaa82e85f0b6448"),
    Used("079", "invalid schema @id", NEGATIVE, "a6b7ee857fdb94df27957d65aeaa82e85f0b6448"),
    Used("080", "invalid column @id", NEGATIVE, "a6b7ee857fdb94df27957d65aeaa82e85f0b6448"),
    Used("083", "invalid tableGroup @type", NEGATIVE, "eb2ce865ae7325818ca68f4a53249a305cce88a9"),
    Used("084", "invalid table @type", NEGATIVE),
    Used("085", "invalid schema @type", NEGATIVE),
    Used("086", "invalid column @type", NEGATIVE),
    Used("089", "missing tables in TableGroup", NEGATIVE),
    Used("090", "missing url in Table", NEGATIVE, "47f3234f318e49625ffdc5fa677f7e64e6010332"),
    Used("092", "invalid JSON", NEGATIVE, "47f3234f318e49625ffdc5fa677f7e64e6010332"),
    Used("093", "undefined properties", WARNING, "44878f93c7880547059114b2b5cbc5287fa305bd"),
    Used("094", "inconsistent array values: tables", WARNING, "44878f93c7880547059114b2b5cbc5287fa305bd"),
    Used("096", "inconsistent array values: columns", WARNING, "44878f93c7880547059114b2b5cbc5287fa305bd"),
    Used("098", "inconsistent array values: tables", NEGATIVE, "2bc2d8a4a86d784741e8be320d087b666d666d16"),
    Used("100", "inconsistent array values: columns", NEGATIVE),
    Used("102", "inconsistent link values: @id", WARNING),
    Used("103", "inconsistent link values: url", NEGATIVE),
    Used("107", "invalid tableSchema", NEGATIVE),
    Used("109", "titles with invalid language", NEGATIVE, "2cbb696b4dc13eac20db17ed42940628cc1d0500"),
    Used("110", "titles with non-string values", WARNING),
    Used("111", "titles with invalid value", NEGATIVE),
    Used("112", "titles with non-string array values", WARNING),
    Used("113", "invalid suppressOutput", WARNING),
    Used("114", "invalid name", WARNING),
    Used("115", "invalid virtual", WARNING),
    Used(
        "117", "file-metadata not referencing file", WARNING, "cd14796363ac867928437b291fd50e9d4ff6c6d8",
        "test117.csv-metadata.json",
    ),
    Used("121", "user-metadata not referencing file", POSITIVE),
    Used("124", "metadata with columns not matching csv titles", NEGATIVE),
    Used("127", "incompatible table", NEGATIVE),
    Used("128", "duplicate column names", NEGATIVE),
    Used("129", "columnn name as integer", WARNING),
    Used("130", "invalid column name", WARNING),
    Used("131", "invalid column name", WARNING),
    Used("132", "name annotation from title percent encoded", POSITIVE),
    Used("133", "virtual before non-virtual", NEGATIVE),
    Used("134", "context in common property", NEGATIVE),
    Used("135", "@list value", NEGATIVE),
    Used("136", "@set value", NEGATIVE),
    Used("137", "@type out of range (as datatype)", NEGATIVE),
    Used("138", "@type out of range (as node type)", NEGATIVE),
    Used("139", "@type out of range (as node type) - string", NEGATIVE),
    Used("140", "@type out of range (as node type) - integer", NEGATIVE),
    Used("141", "@id out of range (as node type) - bnode", NEGATIVE),
    Used("142", "@value with @language and @type", NEGATIVE),
    Used("143", "@value with extra properties", NEGATIVE),
    Used("144", "@language outside of @value", NEGATIVE),
    Used("145", "@value with invalid @language", NEGATIVE),
    Used("146", "Invalid faux-keyword", NEGATIVE),
    Used("147", "title incompatible with title on case", NEGATIVE),
    Used("263", "@type on a common property can be a built-in type", POSITIVE),
    Used("264", "@type on a common property can be a CURIE if the prefix is one of the built-in ones", POSITIVE),
    Used("274", "`@context` object includes properties other than `@base` and `@language`", NEGATIVE),
    Used("275", "property acceptable on column appears on table group", WARNING),
    Used("276", "property acceptable on column appears on table", WARNING),
    Used("277", "property acceptable on table appears on column", WARNING),
)  # fmt: skip
NOT_USED = {
    "a table without metadata: knockon proposes a mapping, which a person confirms": "001 005-010 028 029",
    "finding metadata by Link header, folder or site-wide configuration, and resolving URLs: nothing is fetched; a "
    "mapping stands beside its sheet or is named with --mapping": "012 014-018 116 118-120 122 123 249 259 260 273",
    "dialects: delimiter, encoding, header rows and blank rows are found in the sheet itself":
        "023 059-063 065-072 081 087 106",
    "conversion to RDF or JSON: rows become rows of record tables": "027 030-033 036 037 235-237 305-307",
    "a schema given by its URL: nothing is fetched": "034 035",
    "inherited properties of cells (null, default, separator, lang, aboutUrl ...)": "038-049 125 126 266",
    "the direction of text and tables": "075 076",
    "transformations": "082 088 095 099 270",
    "primary and foreign keys: record tables have keys of their own": "097 101 104 105 108 231-234 250-258 271 272",
    "datatypes, their formats and constraints: cells are read by knockon's own grammar, which keeps what was written":
        "150-230 238 242-248 261 267-269 279-304 308",
    "languages of titles: the header of a sheet says none": "148 149",
    "columns by their place: knockon finds them by title, in any order, and passes the others over": "278",
}  # fmt: skip


def expanded(numbers: str) -> list[str]:
    """The test numbers of ``001 005-007``."""
    found = []
    for item in numbers.split():
        first, _, last = item.partition("-")
        found += [f"{n:03}" for n in range(int(first), int(last or first) + 1)]
    return found


def entries() -> list[str]:
    """The 282 test numbers of the suite's validation manifest."""
    return expanded("001 005-018 023 027-049 059-063 065-090 092-238 242-261 263 264 266-308")


def outcome(text: str, file: str = "tree-ops.csv", header: tuple[str, ...] = TREE_OPS) -> str:
    """What a validator says of metadata found beside a file with this header: positive, warning or negative."""
    try:
        metadata: Metadata = read_metadata(text)
    except MappingError:
        return NEGATIVE
    tables = [t for t in metadata.tables if describes(t, file)]
    if any(not t.columns or without_column(t, header) for t in tables):  # a mapping without columns is refused
        return NEGATIVE
    return WARNING if metadata.warnings or not tables else POSITIVE


def outcome_of(test: Used) -> str:
    """The outcome of a test whose file was had."""
    name = test.file or f"test{test.number}-metadata.json"
    file = f"test{test.number}.csv" if test.file else "tree-ops.csv"
    return outcome((W3C / name).read_text(encoding="utf-8"), file)


def page() -> Iterator[str]:
    """The page of what was run, line by line."""
    had = [t for t in USED if t.commit]
    passed = [t for t in had if outcome_of(t) == t.expected]
    lacking = [t for t in USED if not t.commit]
    yield "# CSVW: the W3C tests of what mappings use\n"
    yield "Made by `python -m tests.csvw.suite > docs/csvw.md`; a test keeps it fresh.\n"
    yield (
        "Mappings are kept as CSVW metadata (W3C Recommendation *Metadata Vocabulary for Tabular Data*, 17 December "
        f"2015). The suite's validation manifest has {len(entries())} tests; {len(USED)} of them concern what a "
        "mapping uses.\n"
    )
    yield f"- {len(passed)} of the {len(had)} tests whose files could be had pass, run on the suite's own files."
    yield (
        f"- For the other {len(lacking)} no file could be had, or one older than its test. For each of them a case was "
        "written after the suite's description of it (`tests/csvw/test_rules.py`); these pass too, and are not counted "
        "as passes of the suite."
    )
    yield (
        f"- {len(entries()) - len(USED)} validation tests are out of scope, below with the reason. So are the suite's "
        "270 tests of conversion to JSON, its 270 of conversion to RDF and its 18 that are not normative: nothing is "
        "converted.\n"
    )
    yield "## Run on the suite's files\n"
    yield "| test | name | expected | found | commit of the file |\n| --- | --- | --- | --- | --- |"
    for test in had:
        yield f"| {test.number} | {test.name} | {test.expected} | {outcome_of(test)} | {test.commit[:8]} |"
    yield "\n## In scope, but the file could not be had\n\n| test | name | expected |\n| --- | --- | --- |"
    for test in lacking:
        yield f"| {test.number} | {test.name} | {test.expected} |"
    yield "\n## Out of scope\n\n| reason | tests |\n| --- | --- |"
    for reason, numbers in NOT_USED.items():
        yield f"| {re.sub(' +', ' ', reason)} | {numbers.replace(' ', ', ')} |"


if __name__ == "__main__":
    sys.stdout.write("\n".join(page()) + "\n")
