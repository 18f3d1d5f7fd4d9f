"""One question asked within this process: the command itself answers, and its answer becomes pieces."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from knockon.graph.records import Records
from knockon.graph.records import load as load_folder
from knockon.queries.ui.command_line import main
from knockon.queries.ui.page.pieces import Outcome
from knockon.queries.ui.page.rooms.laid_out import laid_out, said_of
from knockon.queries.ui.page.state import state_of
from knockon.queries.ui.terminal.outlet import Heard, Outlet, outlet_open

MOST_KEPT = 2


class Asker:
    """Asks commands about one records folder (None: the demo world). It keeps the records that were read last, by the
    state of their folder."""

    def __init__(self, records: Path | None) -> None:
        self._where = ["--records", str(records)] if records is not None else []
        self._kept: dict[object, Records] = {}

    def ask(self, words: Sequence[str], as_json: bool = False, heard: Heard | None = None) -> Outcome:
        """The outcome of a command. ``as_json``: the document, byte for byte as the command line prints it."""
        outlet = Outlet(self._load, heard)
        with outlet_open(outlet):
            status = main([*self._where, *(["--json"] if as_json else []), *words])
        beside = tuple(outlet.beside)
        if outlet.mistake or as_json:
            return Outcome(status, written=bytes(outlet.written), beside=beside, mistake=outlet.mistake,
                           about=outlet.about)  # fmt: skip
        title, pieces = laid_out(outlet, words)
        name = outlet.answered.name if outlet.answered is not None else ""
        return Outcome(status, name, title, pieces, bytes(outlet.written), said_of(outlet), beside)

    def _load(self, folder: Path, without: tuple[str, ...]) -> Records:
        key = (state_of(folder), without)
        if key not in self._kept:
            self._kept.pop(next(iter(self._kept)), None) if len(self._kept) >= MOST_KEPT else None
            self._kept[key] = load_folder(folder, without)
        return self._kept[key]
