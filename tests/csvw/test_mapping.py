"""A mapping beside its sheet: what is written is good CSVW and reads back; what would lose a column is refused."""

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knockon.graph.mapping import ColumnMap, Mapping, MappingError, mapping_path, read_mapping, write_mapping
from knockon.graph.mapping.metadata import read_metadata

TEXT = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), min_size=1, max_size=12)
COLUMNS = st.lists(
    st.builds(
        ColumnMap, TEXT, TEXT | st.just(""), st.sampled_from(["", "mm", "in"]), st.booleans(),
        st.lists(TEXT, max_size=2).map(tuple),
    ),
    min_size=1, max_size=5, unique_by=lambda c: c.name or object(),
)  # fmt: skip


@given(columns=COLUMNS, file=TEXT, fixed=st.dictionaries(TEXT, TEXT, max_size=2), sheet=TEXT | st.just(""))
def test_any_mapping_is_good_csvw_and_reads_back(
    columns: list[ColumnMap], file: str, fixed: dict[str, str], sheet: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    mapping = Mapping(sheet, "parts", tuple(columns), tuple(sorted(fixed.items())))
    written = write_mapping((mapping,), file)
    assert read_metadata(written.decode()).warnings == ()
    path = tmp_path_factory.getbasetemp() / "m.json"
    path.write_bytes(written)
    assert read_mapping(path, file) == (mapping,)


def keep(path: Path, **changed: object) -> Path:
    table = {"url": "sheet.csv", "https://knockon.example/vocab#recordTable": "parts"}
    columns = [{"titles": "No", "name": "part"}]
    document = {"@context": "http://www.w3.org/ns/csvw", **table, "tableSchema": {"columns": columns}, **changed}
    path.write_text(json.dumps(document), encoding="utf-8")
    return path


def test_metadata_of_another_file_is_not_taken_for_this_one(tmp_path: Path) -> None:
    path = keep(mapping_path(tmp_path / "mine.csv"))
    with pytest.raises(
        MappingError, match=r"describes sheet\.csv and not mine\.csv\. If you mean it, name it with --mapping"
    ):
        read_mapping(path, "mine.csv")
    assert read_mapping(path) == read_mapping(path, "sheet.csv")


@pytest.mark.parametrize(
    "column", [{"titles": "Type", "name": "part type"}, {"titles": 1, "name": "part"}, {"titles": "No", "name": 7}, 1],
)  # fmt: skip
def test_what_would_lose_a_column_is_refused(column: object, tmp_path: Path) -> None:
    path = keep(tmp_path / "m.json", tableSchema={"columns": [{"titles": "Name", "name": "name"}, column]})
    with pytest.raises(MappingError, match=r"is not read|not read"):
        read_mapping(path)


def test_every_title_of_a_column_is_read(tmp_path: Path) -> None:
    path = keep(tmp_path / "m.json", tableSchema={"columns": [{"titles": {"en": ["No", "Number"], "de": "Nr"}}]})
    assert read_mapping(path)[0].columns == (ColumnMap("No", "", also=("Number", "Nr")),)


def test_what_the_standard_passes_over_is_no_hindrance(tmp_path: Path) -> None:
    path = keep(tmp_path / "m.json", foo="bar", **{"@id": 7, "dc:title": "Our sheet"})
    assert read_mapping(path)[0].columns == (ColumnMap("No", "part"),)
