"""The questions for scripts and notebooks: ``import knockon; k = knockon.open("mine"); k.swap(...)``.

A method asks what the command of its name asks, takes the same words, and gives the same answer as a frozen record.
``answer.to_dict()`` is the answer as plain dictionaries, lists, texts and numbers. A name that is not in the records
raises ``UnknownNameError``, a request that cannot be read ``RequestError``, records that cannot be read
``RecordsError``; each says what is wrong and what to write instead.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from knockon.graph.files.errors import RecordsError
from knockon.graph.files.shipped import shipped
from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.model.findings import Finding
from knockon.graph.records import Records, load
from knockon.queries.as_typed import RequestError
from knockon.queries.club.disputes import DisputesAnswer, find_disputes
from knockon.queries.club.notes import NotesAnswer, Wanted, list_notes
from knockon.queries.find.identify import IdentifyAnswer, identify
from knockon.queries.find.listing import Filters, ListAnswer, list_things
from knockon.queries.find.tell_apart import TellApartAnswer, tell_apart
from knockon.queries.find.which_vehicle import WhichVehicleAnswer, which_vehicle
from knockon.queries.fits.fits import FitsAnswer, judge_parts
from knockon.queries.fits.on_all import FitsOnAllAnswer, judge_on_all
from knockon.queries.fits.part import PartAnswer, show_part
from knockon.queries.fits.partners import PartnersAnswer, partners_of
from knockon.queries.fits.reach import ReachAnswer, reach
from knockon.queries.plan.solving.patience import Patience
from knockon.queries.tightening import without_torque_in

if TYPE_CHECKING:
    from rdflib import Dataset

    from knockon.graph.columns.parquet import TableWritten
    from knockon.queries.ask.ask import AskAnswer
    from knockon.queries.buy.order import OrderAnswer
    from knockon.queries.intake.check import CheckAnswer
    from knockon.queries.job.card import JobCard
    from knockon.queries.job.goods_in import GoodsIn
    from knockon.queries.job.overview import OverviewAnswer
    from knockon.queries.job.record import RecordAnswer
    from knockon.queries.plan.combinations import CombinationsAnswer
    from knockon.queries.plan.deciding import MeasureAnswer
    from knockon.queries.plan.kit import KitAnswer
    from knockon.queries.plan.needs import NeedsAnswer
    from knockon.queries.plan.routes import RoutesAnswer
    from knockon.queries.plan.side_by_side import SideBySideAnswer
    from knockon.queries.plan.swap import SwapAnswer
    from knockon.queries.shortlist.shortlist import ShortlistAnswer

__all__ = ["Opened", "RecordsError", "RequestError", "UnknownNameError", "open_records"]

Words = str | Sequence[str]
"""One word, or several."""


def _several(words: Words) -> tuple[str, ...]:
    return (words,) if isinstance(words, str) else tuple(words)


def open_records(folder: str | Path | None = None, *, without: Words = (), time_limit: float | None = None) -> Opened:
    """Open a records folder to ask it questions; without one the demo world, which is invented.

    ``without`` names sources and merged clubs whose statements are left out. ``time_limit``: seconds in
    which each best plan is searched for, and as long again for what is said about it (none: a minute; ten seconds for
    the plans that ``disputes`` makes of itself). ``answer.not_decided`` names what was not decided then.
    Raises RecordsError.
    """
    where = shipped("data_demo") if folder is None else Path(folder)
    return Opened(where, _several(without), time_limit)


class Opened:
    """A records folder, opened. It is read once: what is written to it later is seen by opening it again."""

    def __init__(self, folder: Path, without: Sequence[str] = (), time_limit: float | None = None) -> None:
        self.folder = folder
        self.without = tuple(without)
        self.time_limit = time_limit
        self._records: Records = load(folder, self.without)

    @property
    def catalogue(self) -> Catalogue:
        """Everything that answers are made from: parts, vehicles, layouts, features, notes, sources."""
        return self._records.catalogue

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What is wrong in the records, row by row; those rows are not used."""
        return self._records.findings

    def _patience(self) -> Patience | None:
        return None if self.time_limit is None else Patience(self.time_limit)

    # -- one part, and parts together

    def part(self, number: str) -> PartAnswer:
        """All that is recorded of a part."""
        return show_part(self.catalogue, number)

    def fits(self, *parts: str, at: str = "", on: str = "", empty: Words = ()) -> FitsAnswer:
        """Do these parts go together? ``at``: the joint, if only one counts; ``on``: a vehicle whose own parts stand in
        all other places; ``empty``: positions in which nothing stands."""
        return judge_parts(self.catalogue, parts, at=at, on=on, empty=_several(empty))

    def fits_on_all(self, *parts: str, at: str = "", empty: Words = ()) -> FitsOnAllAnswer:
        """Which of the recorded vehicles do these parts fit?"""
        return judge_on_all(self.catalogue, parts, at=at, empty=_several(empty))

    def partners(self, part: str) -> PartnersAnswer:
        """All parts that meet a part, by verdict."""
        return partners_of(self.catalogue, part)

    def reach(self, part: str, along: Words, *, most: int = 8) -> ReachAnswer:
        """The parts that one part may stand beside further on, along these joints, counted; ``most`` of them named."""
        return reach(self.catalogue, part, _several(along), most)

    def identify(self, *readings: str, part_type: str = "", tool: str = "") -> IdentifyAnswer:
        """Which part is this? ``readings``: ``FEATURE: DIMENSION = VALUE, ...``; ``part_type``: if that is known;
        ``tool``: what it was measured with, where a reading does not say its uncertainty."""
        return identify(self.catalogue, readings, part_type, tool)

    def tell_apart(self, part: str, other: str) -> TellApartAnswer:
        """How two parts differ, and what each difference does."""
        return tell_apart(self.catalogue, part, other)

    def export_parquet(self, folder: str | Path) -> tuple[TableWritten, ...]:
        """Write the catalogue in columns to a folder, as Parquet; the tables with their numbers of rows. Needs the
        extra ``knockon[cluster]``: raises ``RecordsError`` without it, and where nothing could be written."""
        from knockon.graph.columns.parquet import write_parquet
        from knockon.graph.columns.tables import Catalogued

        return write_parquet(Catalogued(self.catalogue, self.folder, self.without), Path(folder))

    # -- the whole job

    def swap(self, vehicle: str, want: Words = (), *, keep: Words = (), avoid: Words = (), renew: Words = (),
             prefer: Words = (), plans: int = 4) -> SwapAnswer:  # fmt: skip
        """What a swap forces on a vehicle, and why; ``want`` as in ``"rotor=LARCH-201"``. At most ``plans`` plans, none
        better than another in all."""
        from knockon.queries.plan.swap import FIRST_PAGE, swap  # brings the solver; a short question does without

        return swap(
            self.catalogue, vehicle, want=_several(want), keep=_several(keep), avoid=_several(avoid),
            renew=_several(renew), prefer=_several(prefer), alternatives=plans - 1, turning=FIRST_PAGE,
            patience=self._patience(),
        )  # fmt: skip

    def needs(self, vehicle: str, position: str, want: Words = (), *, keep: Words = (), avoid: Words = (),
              renew: Words = (), prefer: Words = ()) -> NeedsAnswer:  # fmt: skip
        """What a part for one position of a plan has to be, and which recorded parts are that by their sizes."""
        from knockon.queries.plan.needs import needs

        return needs(
            self.catalogue, vehicle, position, want=_several(want), keep=_several(keep), avoid=_several(avoid),
            renew=_several(renew), prefer=_several(prefer), patience=self._patience(),
        )  # fmt: skip

    def measure(self, vehicle: str, want: Words = (), *, keep: Words = (), avoid: Words = (), renew: Words = (),
                prefer: Words = ()) -> MeasureAnswer:  # fmt: skip
        """The fewest readings on a vehicle that decide its plan, each with where it turns the plan."""
        from knockon.queries.plan.deciding import measure

        return measure(
            self.catalogue, vehicle, want=_several(want), keep=_several(keep), avoid=_several(avoid),
            renew=_several(renew), prefer=_several(prefer), patience=self._patience(),
        )  # fmt: skip

    def side_by_side(self, vehicle: str, want: Words, *, keep: Words = (), avoid: Words = (), renew: Words = (),
                     prefer: Words = ()) -> SideBySideAnswer:  # fmt: skip
        """A plan for each part that would meet the wish, side by side."""
        from knockon.queries.plan.side_by_side import side_by_side

        return side_by_side(
            self.catalogue, vehicle, want=_several(want), keep=_several(keep), avoid=_several(avoid),
            renew=_several(renew), prefer=_several(prefer), patience=self._patience(),
        )  # fmt: skip

    def instead_of(self, vehicle: str, part: str, want: Words, *, keep: Words = (), avoid: Words = (),
                   renew: Words = (), prefer: Words = ()) -> RoutesAnswer:  # fmt: skip
        """The other ways round a part of a plan that cannot be had, and where each is stopped."""
        from knockon.queries.plan.routes import routes

        return routes(
            self.catalogue, vehicle, part, want=_several(want), keep=_several(keep), avoid=_several(avoid),
            renew=_several(renew), prefer=_several(prefer), patience=self._patience(),
        )  # fmt: skip

    def combinations(self, layout: str, given: Words = (), *, first: int = 3, avoid: Words = ()) -> CombinationsAnswer:
        """Which parts go together around given ones, at the ``first`` few in full."""
        from knockon.queries.plan.combinations import combinations

        return combinations(
            self.catalogue, layout, given=_several(given), first=first, avoid=_several(avoid), patience=self._patience()
        )

    def kit(self, kit: str, vehicle: str, want: Words = (), *, keep: Words = (), avoid: Words = (),
            renew: Words = ()) -> KitAnswer:  # fmt: skip
        """What a kit lacks for a swap."""
        from knockon.queries.plan.kit import check_kit

        return check_kit(
            self.catalogue, kit, vehicle, want=_several(want), keep=_several(keep), avoid=_several(avoid),
            renew=_several(renew), patience=self._patience(),
        )  # fmt: skip

    def order(self, vehicle: str, want: Words = (), *, accept: Words = (), keep: Words = (), avoid: Words = (),
              renew: Words = (), prefer: Words = ()) -> OrderAnswer:  # fmt: skip
        """What to buy where, so that a swap is supplied: the cheapest order, the one with the fewest parcels, the
        safest. ``accept``: what a plan may cost beside the best one, as ``changes=1`` or ``unproven=2``."""
        from knockon.queries.buy.order import order

        return order(
            self.catalogue, vehicle, accept=_several(accept), want=_several(want), keep=_several(keep),
            avoid=_several(avoid), renew=_several(renew), prefer=_several(prefer), patience=self._patience(),
        )  # fmt: skip

    def job_card(self, vehicle: str, want: Words = (), *, keep: Words = (), avoid: Words = (),
                 renew: Words = ()) -> JobCard:  # fmt: skip
        """Every step of a swap, in an order in which it can be done."""
        from knockon.queries.job.card import job_card

        return job_card(
            self.catalogue, vehicle, want=_several(want), keep=_several(keep), avoid=_several(avoid),
            renew=_several(renew), patience=self._patience(),
        )  # fmt: skip

    def overview(self) -> OverviewAnswer:
        """Each vehicle with what is wrong on it as it stands, and each named plan with how far it is."""
        from knockon.queries.job.overview import overview

        return overview(self.catalogue, self.folder)

    def record(self, plan: str) -> RecordAnswer:
        """What was built with a named plan, against what was found. Asking writes nothing."""
        from knockon.graph.jobs.store import read_job
        from knockon.queries.job.record import record_of

        return record_of(self.catalogue, read_job(self.folder, plan), self._patience())

    def goods_in(self, plan: str) -> GoodsIn:
        """What to check on the parcels of a named plan of these records."""
        from knockon.graph.jobs.store import read_job
        from knockon.queries.job.goods_in import goods_in

        return goods_in(self.catalogue, read_job(self.folder, plan), self._patience())

    def shortlist(self, vehicle: str, want: Words = (), *, into: str | Path, parquet: Words = (),
                  engine: str = "duckdb", with_equals: bool = False, keep: Words = (), avoid: Words = (),
                  renew: Words = ()) -> ShortlistAnswer:  # fmt: skip
        """Write records with only the parts that may stand in a plan of one swap ``into`` a new folder. ``parquet``:
        exports with parts to choose from, else those of these records; ``engine``: ``duckdb`` or ``spark``. Needs the
        extra ``knockon[cluster]``."""
        from knockon.queries.shortlist.shortlist import Way, shortlist

        way = Way(tuple(map(Path, _several(parquet))), engine, with_equals)
        return shortlist(
            self.catalogue, self.folder, vehicle, Path(into), way, want=_several(want), keep=_several(keep),
            avoid=_several(avoid), renew=_several(renew),
        )  # fmt: skip

    # -- finding

    def vehicle(self, name: str) -> WhichVehicleAnswer:
        """Which vehicle is this?"""
        return which_vehicle(self.catalogue, name)

    def list(
        self, things: str, words: Words = (), *, part_type: str = "", at: str = "", source: str = "", layout: str = ""
    ) -> ListAnswer:
        """The parts, vehicles, layouts, notes ... of the records, one line a thing."""
        return list_things(self.catalogue, things, Filters(part_type, at, source, layout, _several(words)))

    # -- the club, the records

    def notes(
        self, *, vehicle: str = "", part: str = "", position: str = "", outcome: str = "", member: str = ""
    ) -> NotesAnswer:
        """The notes of members, failures first."""
        found: NotesAnswer = without_torque_in(
            list_notes(self.catalogue, Wanted(vehicle, part, position, outcome, member))
        )
        return found

    def disputes(self, *, wishes: int = 10, plans: int = 4) -> DisputesAnswer:
        """What contradicts what, and what would settle it."""
        found: DisputesAnswer = without_torque_in(find_disputes(self.catalogue, wishes, plans, self._patience()))
        return found

    def check(self) -> CheckAnswer:
        """Are the records in order? Reads the folder anew."""
        from knockon.queries.intake.check import check_records  # brings the shapes and their validation

        return check_records(self.folder, without=self.without)

    def ask(self, query: str, *, seconds: float = 60.0, **given: str) -> AskAnswer:
        """A ready-made query by its name, or one in SPARQL; ``given`` are a ready-made query's parameters."""
        from knockon.graph.records.asked import asked_of
        from knockon.queries.ask import ask  # brings the store

        chosen = ask.described("", query) if any(letter in query for letter in "{\n") else ask.find_ready_made(query)
        ask.guard(chosen.text)
        statements, catalogue = asked_of(self.folder, self.without)
        return ask.ask(statements, chosen, ask.bindings_of(chosen, given, catalogue), seconds)

    def dataset(self) -> Dataset:
        """All statements as an rdflib Dataset, every named graph seen as one; needs ``knockon[dataset]``."""
        from knockon.graph.rdf.store import dataset_of, store_of
        from knockon.graph.records.asked import asked_of

        return dataset_of(store_of(asked_of(self.folder, self.without)[0]))
