"""The W3C test suite of CSV on the Web: which of its validation tests concern what mappings use, and which do not.

Source: repository w3c/csvw, tests/manifest-validation.ttl at commit 96dc6d49 (the 282 entries) and tests/manifest.csv
at commit 9f4df8c9 (names, and the result that is expected of a validator). The files are in ``w3c``, whose LICENSE.md
says where each was had; all are equal to the suite's, proved by the checksums of MD5SUMS.
``python -m tests.csvw.suite > tests/csvw/README.md`` makes the page.
"""

from __future__ import annotations

import csv
import re
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from knockon.graph.mapping import mapping_path
from knockon.graph.mapping.metadata import MappingError, describes, read_metadata, without_column

W3C = Path(__file__).parent / "w3c"
POSITIVE, WARNING, NEGATIVE = "positive", "warning", "negative"
READ, COPY, REBUILT = "`w3c/csvw`", "`kah109xq/GSS-Cogss`", "rebuilt from `w3c/csvw`"


@dataclass(frozen=True, slots=True)
class Used:
    """A test of what is used. ``had`` and ``commit``: where its metadata was had.

    ``metadata``: the file that the test names, where it is not the usual one. ``beside``: the table that the test
    names instead; its metadata is then the one that stands beside it.
    """

    number: str
    name: str
    expected: str
    had: str
    commit: str
    metadata: str = ""
    beside: str = ""

    @property
    def path(self) -> Path:
        """The metadata that is read."""
        return mapping_path(W3C / self.beside) if self.beside else W3C / (self.metadata or self.usual)

    @property
    def usual(self) -> str:
        return f"test{self.number}-metadata.json"


USED = (
    Used("011", "tree-ops example with metadata", POSITIVE, REBUILT, "21701975", beside="test011/tree-ops.csv"),
    Used(
        "013", "tree-ops example from user metadata", POSITIVE, COPY, "e7308ca9", metadata="test013-user-metadata.json",
    ),
    Used(
        "015", "tree-ops example with user and directory metadata", POSITIVE, COPY, "c1862a56",
        metadata="test015/user-metadata.json",
    ),
    Used(
        "017", "tree-ops example with file and directory metadata", POSITIVE, COPY, "c1862a56",
        beside="test017/tree-ops.csv",
    ),
    Used(
        "018", "tree-ops example with user, file and directory metadata", POSITIVE, COPY, "c1862a56",
        metadata="test018/user-metadata.json",
    ),
    Used("073", "invalid @language", WARNING, COPY, "e7308ca9"),
    Used("074", "empty tables", NEGATIVE, REBUILT, "a6b7ee85"),
    Used("077", "invalid tableGroup @id", NEGATIVE, REBUILT, "a6b7ee85"),
    Used("078", "invalid table @id", NEGATIVE, REBUILT, "a6b7ee85"),
    Used("079", "invalid schema @id", NEGATIVE, REBUILT, "a6b7ee85"),
    Used("080", "invalid column @id", NEGATIVE, REBUILT, "a6b7ee85"),
    Used("083", "invalid tableGroup @type", NEGATIVE, REBUILT, "eb2ce865"),
    Used("084", "invalid table @type", NEGATIVE, REBUILT, "eb2ce865"),
    Used("085", "invalid schema @type", NEGATIVE, REBUILT, "eb2ce865"),
    Used("086", "invalid column @type", NEGATIVE, REBUILT, "eb2ce865"),
    Used("089", "missing tables in TableGroup", NEGATIVE, REBUILT, "02a16b5b"),
    Used("090", "missing url in Table", NEGATIVE, REBUILT, "47f3234f"),
    Used("092", "invalid JSON", NEGATIVE, READ, "47f3234f"),
    Used("093", "undefined properties", WARNING, REBUILT, "44878f93"),
    Used("094", "inconsistent array values: tables", WARNING, READ, "44878f93"),
    Used("096", "inconsistent array values: columns", WARNING, READ, "44878f93"),
    Used("098", "inconsistent array values: tables", NEGATIVE, REBUILT, "2bc2d8a4"),
    Used("100", "inconsistent array values: columns", NEGATIVE, REBUILT, "691e21e8"),
    Used("102", "inconsistent link values: @id", WARNING, REBUILT, "47f3234f"),
    Used("103", "inconsistent link values: url", NEGATIVE, REBUILT, "47f3234f"),
    Used("107", "invalid tableSchema", NEGATIVE, REBUILT, "0d9f38f4"),
    Used("109", "titles with invalid language", NEGATIVE, REBUILT, "2cbb696b"),
    Used("110", "titles with non-string values", WARNING, REBUILT, "2bc2d8a4"),
    Used("111", "titles with invalid value", NEGATIVE, REBUILT, "2bc2d8a4"),
    Used("112", "titles with non-string array values", WARNING, REBUILT, "2bc2d8a4"),
    Used("113", "invalid suppressOutput", WARNING, REBUILT, "47f3234f"),
    Used("114", "invalid name", WARNING, REBUILT, "2bc2d8a4"),
    Used("115", "invalid virtual", WARNING, REBUILT, "2bc2d8a4"),
    Used("117", "file-metadata not referencing file", WARNING, REBUILT, "cd147963", beside="test117.csv"),
    Used(
        "121", "user-metadata not referencing file", POSITIVE, REBUILT, "62684111",
        metadata="test121-user-metadata.json",
    ),
    Used(
        "124", "metadata with columns not matching csv titles", NEGATIVE, COPY, "b2ab8007",
        metadata="test124-user-metadata.json",
    ),
    Used("127", "incompatible table", NEGATIVE, REBUILT, "0a66b298"),
    Used("128", "duplicate column names", NEGATIVE, COPY, "c1862a56"),
    Used("129", "columnn name as integer", WARNING, COPY, "b2ab8007"),
    Used("130", "invalid column name", WARNING, COPY, "b2ab8007"),
    Used("131", "invalid column name", WARNING, COPY, "e7308ca9"),
    Used("132", "name annotation from title percent encoded", POSITIVE, COPY, "b2ab8007"),
    Used("133", "virtual before non-virtual", NEGATIVE, COPY, "c1862a56"),
    Used("134", "context in common property", NEGATIVE, COPY, "b2ab8007"),
    Used("135", "@list value", NEGATIVE, COPY, "c1862a56"),
    Used("136", "@set value", NEGATIVE, COPY, "b2ab8007"),
    Used("137", "@type out of range (as datatype)", NEGATIVE, COPY, "c1862a56"),
    Used("138", "@type out of range (as node type)", NEGATIVE, COPY, "e7308ca9"),
    Used("139", "@type out of range (as node type) - string", NEGATIVE, COPY, "c1862a56"),
    Used("140", "@type out of range (as node type) - integer", NEGATIVE, COPY, "b2ab8007"),
    Used("141", "@id out of range (as node type) - bnode", NEGATIVE, COPY, "c1862a56"),
    Used("142", "@value with @language and @type", NEGATIVE, COPY, "b2ab8007"),
    Used("143", "@value with extra properties", NEGATIVE, COPY, "b2ab8007"),
    Used("144", "@language outside of @value", NEGATIVE, COPY, "b2ab8007"),
    Used("145", "@value with invalid @language", NEGATIVE, COPY, "e7308ca9"),
    Used("146", "Invalid faux-keyword", NEGATIVE, COPY, "b2ab8007"),
    Used("147", "title incompatible with title on case", NEGATIVE, COPY, "c1862a56"),
    Used("263", "@type on a common property can be a built-in type", POSITIVE, COPY, "b2ab8007"),
    Used(
        "264", "@type on a common property can be a CURIE if the prefix is one of the built-in ones", POSITIVE,
        COPY, "b2ab8007",
    ),
    Used("274", "`@context` object includes properties other than `@base` and `@language`", NEGATIVE, COPY, "e7308ca9"),
    Used("275", "property acceptable on column appears on table group", WARNING, COPY, "b2ab8007"),
    Used("276", "property acceptable on column appears on table", WARNING, COPY, "b2ab8007"),
    Used("277", "property acceptable on table appears on column", WARNING, COPY, "e7308ca9"),
)  # fmt: skip
NOT_USED = {
    "a table without metadata: knockon proposes a mapping, which a person confirms": "001 005-010 028 029",
    "finding metadata by Link header, folder or site-wide configuration, and resolving URLs: nothing is fetched; a "
    "mapping stands beside its sheet or is named with --mapping": "012 014 016 116 118-120 122 123 249 259 260 273",
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


def header_of(table: Path) -> tuple[str, ...]:
    """The titles in the header of one of the suite's tables."""
    with table.open(encoding="utf-8", newline="") as lines:
        return tuple(next(csv.reader(lines)))


TREE_OPS = header_of(W3C / "tree-ops.csv")


def outcome(text: str, headers: Mapping[str, tuple[str, ...]], beside: str = "") -> tuple[str, str]:
    """What a validator says of metadata, and why: positive, warning or negative; of several warnings the first is told.

    ``headers``: those of the tables, by url. ``beside``: the file that the metadata was found beside; without it the
    metadata was named, and all its tables are meant.
    """
    try:
        metadata = read_metadata(text)
    except MappingError as error:
        why = str(error)
        return NEGATIVE, "not JSON" if why.startswith("not JSON") else why  # its words differ from Python to Python
    warnings = [w.text for w in metadata.warnings]
    tables = [t for t in metadata.tables if not beside or describes(t, beside)]
    for table in tables:
        lacking = without_column(table, headers[table.url])
        if not table.columns or lacking:  # a mapping without columns is refused
            named = [" or ".join(t for _, t in c.titles) or "one without titles" for c in lacking]
            why = f"the sheet lacks {len(named)} of the columns, first {named[0]}" if named else "no columns"
            return NEGATIVE, "; ".join([*warnings[:1], why])
    if not tables:
        warnings.append(f"it describes {metadata.tables[0].url} and not {beside}")
    return (WARNING if warnings else POSITIVE), "".join(warnings[:1])


def outcome_of(test: Used) -> tuple[str, str]:
    """The outcome of a test of the suite, and why."""
    headers = {p.name: header_of(p) for p in test.path.parent.glob("*.csv")}
    return outcome(test.path.read_text(encoding="utf-8"), headers, Path(test.beside).name)


def page() -> Iterator[str]:
    """The page of what was run, line by line."""
    passed = [t for t in USED if outcome_of(t)[0] == t.expected]
    yield "# CSVW: the W3C tests of what mappings use\n"
    yield "Made by `python -m tests.csvw.suite > tests/csvw/README.md`; a test keeps it fresh.\n"
    yield (
        "Mappings are kept as CSVW metadata (W3C Recommendation *Metadata Vocabulary for Tabular Data*, 17 December "
        f"2015). The suite's validation manifest has {len(entries())} tests; {len(USED)} of them concern what a "
        "mapping uses.\n"
    )
    yield f"- {len(passed)} of the {len(USED)} pass, run on the suite's own files."
    yield (
        f"- {len(entries()) - len(USED)} validation tests are out of scope, below with the reason. So are the suite's "
        "270 tests of conversion to JSON, its 270 of conversion to RDF and its 18 that are not normative: nothing is "
        "converted."
    )
    yield (
        "- A few cases of our own add to the suite's (`tests/csvw/test_rules.py`); they are not counted here.\n"
        "- Here a sheet is asked for all columns that its metadata names, as the standard has it. An import asks only "
        "for those that it fills: a column that it passes over may be gone.\n\n"
        "## The files\n"
    )
    yield from FILES
    yield "\n## Run\n"
    yield "| test | name | expected | found | why | file |\n| --- | --- | --- | --- | --- | --- |"
    for test in USED:
        found, why = outcome_of(test)
        why = why.replace("|", "\\|")
        yield f"| {test.number} | {test.name} | {test.expected} | {found} | {why} | {test.had} {test.commit} |"
    yield "\n## Out of scope\n\n| reason | tests |\n| --- | --- |"
    for reason, numbers in NOT_USED.items():
        yield f"| {re.sub(' +', ' ', reason)} | {numbers.replace(' ', ', ')} |"


FILES = (
    "The files come one by one from public repositories. All that are run are equal to the suite's, "
    "byte for byte: their MD5 checksums are those that the R package `csvwr` 0.1.6 publishes "
    "of its copy of the suite (repository `cran/csvwr`, file `MD5`, commit a81ce504). The last column of the table "
    "says where a file's text is from:\n",
    f"- {READ} and a commit: read there as it is.",
    f"- {COPY} and a commit: read in that copy of the suite, which ends each file with one line end more; it was taken "
    "off.",
    f"- {REBUILT} and a commit: there was only an older state of the file or of its sister, or the result that is "
    "expected of it, which repeats its comment and its columns. The file was written after that and the manifest until "
    "its checksum was the published one: the checksum proves it.",
)

if __name__ == "__main__":
    sys.stdout.write("\n".join(page()) + "\n")
