"""The page: requests in, rooms out. What a room asks stands in ``addresses.py``, what is written in ``writing.py``."""

from __future__ import annotations

import asyncio
import secrets
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from importlib.resources import files
from pathlib import Path

import msgspec
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from knockon.queries.ui.page import around, downloads, sheets
from knockon.queries.ui.page.addresses import BY_NAME, ROOMS, Query, Room, address, words_of
from knockon.queries.ui.page.asked import Asking, Questions, Stopped, TooMany
from knockon.queries.ui.page.calculating import subjects
from knockon.queries.ui.page.forms import ask_form
from knockon.queries.ui.page.guard import SentTooMuch, Visits, visit_of
from knockon.queries.ui.page.network import READ_ONLY
from knockon.queries.ui.page.pieces import Outcome, Piece, Text
from knockon.queries.ui.page.plain_page import plain_page, rendered
from knockon.queries.ui.page.posting import Posts, Read, refused
from knockon.queries.ui.page.read_of import as_document, here_of, query_of, turner, wants_document
from knockon.queries.ui.page.showing import Sent, Shown, Site, Where
from knockon.queries.ui.page.writing import BY_DO
from knockon.queries.ui.sentences import page as say

SOON = 1.5
"""Seconds that a request waits for its answer before it says what is being done."""
AGAIN = 2
"""Seconds after which a browser looks again."""
STATIC = {"page.css": "text/css", "page.js": "text/javascript"}
WHOLE = frozenset({"vehicle", "part", "partners", "fits", "tell-apart", "identify", "needs", "kit"})
"""Rooms whose whole answer opens under the first page of it."""
Handler = Callable[[Request], Awaitable[Response]]


def page_at(records: Path | None, site: Site) -> Starlette:
    """The page about one records folder (None: the demo world)."""
    questions, visits = Questions(records), Visits()
    page = Page(questions, visits, site)

    @asynccontextmanager
    async def alive(app: Starlette) -> AsyncIterator[None]:
        yield
        await page.close()

    routes = [Route("/static/{name}", _static), Route("/stop", page.stop, methods=["POST"])]
    rooms = [*ROOMS, *subjects().values()]
    routes += [Route("/", page.home), Route("/look", page.look), Route("/calculate", page.calculate)]
    routes += [Route("/search", page.search), Route("/change", page.change)]
    routes += [Route("/sheets", page.sheets, methods=["GET", "POST"])]
    for room in sorted(rooms, key=lambda r: -r.address.count("/")):
        path = room.address
        if path.endswith("}") and room.places:  # a number may hold a slash
            path = f"{path[:-1]}:path}}"
        routes.append(Route(path, page.room(room), methods=["GET", "POST"]))
    routes += [Route("/club/shared.trig", page.shared), Route("/plan/{plan}/{card}.pdf", page.print_card)]
    for name, of in around.ROOMS_OF_PLAN.items():
        routes.append(Route(f"/plan/{{plan}}{name}", page.of_plan(of), methods=["GET", "POST"]))
    return Starlette(
        routes=routes,
        lifespan=alive,
        exception_handlers={HTTPException: _no_such, SentTooMuch: _too_much, Exception: _fault},
    )


class Page:
    """All rooms about one records folder."""

    def __init__(self, questions: Questions, visits: Visits, site: Site) -> None:
        self._questions, self._visits, self._site = questions, visits, site
        self._posts, self._sheets = Posts(questions), sheets.Sheets()
        self._stoppable: dict[str, Asking] = {}

    def room(self, room: Room) -> Handler:
        """What answers a request for a room."""

        async def answer(request: Request) -> Response:
            return await self._in_room(request, room)

        return answer

    def of_plan(self, room: str) -> Handler:
        """What answers a request for a room of a named plan that asks what the plan asks."""

        async def answer(request: Request) -> Response:
            return await self._of_plan(request, room)

        return answer

    async def close(self) -> None:
        """End what runs, and remove what was sent."""
        await self._questions.close()
        self._posts.close()

    async def home(self, request: Request) -> Response:
        """Vehicles with their dangers, plans in work, what to change."""
        if wants_document(request):
            return await self._document(["overview"])
        found = await self._waited(request, ["overview"])
        if isinstance(found, Response):
            return found
        return self._shown(request, Shown(say.HOME, found, rooms=()))

    async def change(self, request: Request) -> Response:
        """From the form at home to the address of the swap."""
        query = query_of(request)
        vehicle = " ".join(query.pop("vehicle", [])).strip()
        if not vehicle or not any(v.strip() for v in query.get("want", ())):
            return RedirectResponse("/", 303)
        kept: Query = {name: query[name] for name in ("want", "side-by-side") if name in query}
        return RedirectResponse(address(BY_NAME["swap"], {"vehicle": vehicle}, kept), 303)

    async def look(self, request: Request) -> Response:
        """All that can be looked up and checked."""
        return self._shown(request, Shown(say.LOOK_UP, around.look()))

    async def shared(self, request: Request) -> Response:
        """The records for other clubs, as a file."""
        return await self._file(downloads.shared(query_of(request)), downloads.SHARED)

    async def print_card(self, request: Request) -> Response:
        """A card of a plan to print, as a file."""
        made = downloads.printed(request.path_params["plan"], request.path_params["card"], self._posts.folder)
        if made is None:
            return plain_page(say.NOT_ANSWERED, say.NOT_HERE, 404)
        words, path = made
        return await self._file(words, downloads.PDF, path)

    async def _file(self, words: list[str], sort: str, path: Path | None = None) -> Response:
        """What a command writes, in a file of the page's own (``path``) or to its output, to be kept by the browser."""
        outcome = await self._questions.write(words)
        if outcome.mistake:
            return plain_page(say.NOT_ANSWERED, outcome.mistake, 422)
        return downloads.answer(outcome.written, sort, path)

    async def sheets(self, request: Request) -> Response:
        """A sheet is sent, shown with where its columns go, and imported once that is accepted."""
        shown = Shown(say.SHEETS, sheets.room(), told=self._done(request))
        if request.method != "POST":
            return self._shown(request, shown)
        visit, read = visit_of(request), await self._posts.read(request)
        if refusal := self._refused(request, read):
            return refusal
        accepts = read.one("do") == sheets.ACCEPT
        sent = read.files.get("file", [""])[0]
        token = read.one("sheet") if accepts else self._sheets.keep(visit, sent) if sent else ""
        path = self._sheets.path(visit, token)
        if not path:
            return self._shown(request, msgspec.structs.replace(shown, told=(Text(say.SHEET_GONE),)), 422)
        outcome = await self._questions.write(sheets.words(path, read, accepts))
        if outcome.mistake:
            mistake = Outcome(2, pieces=shown.outcome.pieces, mistake=outcome.mistake)
            return self._shown(request, msgspec.structs.replace(shown, outcome=mistake))
        if not accepts and not outcome.answer:
            pieces = sheets.proposed(outcome, token, read)
            return self._shown(request, Shown(say.SHEETS, Outcome(0, pieces=pieces)))
        done = self._posts.remember(visit, read, outcome)
        return RedirectResponse(f"/sheets?done={done}", 303)

    def _done(self, request: Request) -> tuple[Piece, ...]:
        return self._posts.done(visit_of(request), request.query_params.get("done", ""))

    def _refused(self, request: Request, read: Read) -> Response | None:
        """Why nothing is written for this request, where that is so."""
        if not self._visits.is_token(visit_of(request), read.one("token")):
            return plain_page(say.NOT_ANSWERED, say.NOT_ALLOWED, 403)
        why = self._why_read_only(request)
        return plain_page(say.NOT_ANSWERED, why, 403) if why else None

    async def calculate(self, request: Request) -> Response:
        """The subjects of the workshop's arithmetic."""
        return self._shown(request, Shown(say.ARITHMETIC, around.calculations()))

    async def search(self, request: Request) -> Response:
        """Parts, positions, notes and trade words with some words in them."""
        words = request.query_params.get("words", "").split()
        outcomes = []
        for sort in around.SEARCHED if words else ():
            asked = [" ".join(words)] if sort == ("words",) else words
            found = await self._waited(request, [*sort, "--", *asked])
            if isinstance(found, Response):
                return found
            outcomes.append(found)
        title = say.FOUND_FOR.format(words=" ".join(words)) if words else say.LOOK_UP
        return self._shown(request, Shown(title, around.found(outcomes, words)))

    async def stop(self, request: Request) -> Response:
        """Stop what takes long."""
        form = await request.form()
        if not self._visits.is_token(visit_of(request), str(form.get("token", ""))):
            return plain_page(say.NOT_ANSWERED, say.NOT_ALLOWED, 403)
        asking = self._stoppable.pop(str(form.get("asked", "")), None)
        if asking is not None:
            self._questions.stop(asking)
        return plain_page(say.NOT_ANSWERED, say.WAS_STOPPED, 200)

    async def _of_plan(self, request: Request, room: str) -> Response:
        """A room of a named plan that asks what the plan asks."""
        if wants_document(request) and room == "overview":
            return await self._document(["overview"])
        plan = await self._plan(request.path_params["plan"])
        if plan is None:
            text = say.NO_PLAN.format(plan=request.path_params["plan"])
            return plain_page(say.NOT_ANSWERED, text, 404)
        name, vehicle, asked = plan
        query = {**query_of(request), **asked, **({"for": [vehicle]} if room == "kit" else {})}
        at = Where(BY_NAME[room], {"vehicle": vehicle}, query, around.near_plan(name))
        return await self._at(request, at)

    async def _plan(self, name: str) -> tuple[str, str, dict[str, list[str]]] | None:
        """(name, vehicle, request by option) of a named plan."""
        found = await self._questions.ask(["overview"], as_json=True)
        return around.plan_in(found.written, name)

    async def _in_room(self, request: Request, room: Room) -> Response:
        places, query = dict(request.path_params), query_of(request)
        near = around.near_plan(places["plan"]) if "plan" in places else around.near(room, places, query)
        return await self._at(request, Where(room, places, query, near))

    async def _at(self, request: Request, at: Where) -> Response:
        """A room: what was sent to it is written, and what it asks is shown."""
        if request.method == "POST":
            return await self._post(request, at)
        return await self._answer(request, at)

    async def _post(self, request: Request, at: Where) -> Response:
        visit = visit_of(request)
        read = await self._posts.read(request)
        if refusal := self._refused(request, read):
            return refusal
        writing = BY_DO.get((at.room.address, read.one("do")))
        if writing is None:
            return plain_page(say.NOT_ANSWERED, say.NOT_HERE, 404)
        try:
            outcome = await self._posts.write(writing, at.places, read, at.query)
        except Stopped:
            return plain_page(say.NOT_ANSWERED, say.WAS_STOPPED, 500)
        sent = refused(read, outcome, writing)
        if sent is not None:
            return await self._answer(request, at, sent)
        done = self._posts.remember(visit, read, outcome)
        go_on = around.goes_on(writing, at.places, read.fields) or here_of(request)
        return RedirectResponse(f"{go_on}{'&' if '?' in go_on else '?'}done={done}", 303)

    async def _answer(self, request: Request, at: Where, sent: Sent | None = None) -> Response:
        room, query = at.room, at.query
        if not around.is_asked(room, query):
            form = ask_form(room, query, say.ASK)
            return self._shown(request, Shown(around.title(room), Outcome(0), ask=form, rooms=at.near))
        words = words_of(room, at.places, query)
        if wants_document(request):
            return await self._document(words)
        found = await self._waited(request, words)
        if isinstance(found, Response):
            return found
        whole: Outcome | None = None
        if room.name in WHOLE and not found.mistake and "full" not in query:
            more = await self._waited(request, [*words[: len(room.command)], "--full", *words[len(room.command) :]])
            whole = None if isinstance(more, Response) else more
        shown = Shown(
            found.title or around.title(room),
            found if found.mistake else msgspec.structs.replace(found, pieces=(*found.pieces, *around.forms(room))),
            ask=ask_form(room, query, say.ASK) if at.near == () or "plan" not in request.path_params else None,
            rooms=at.near,
            whole=whole.pieces if whole is not None else (),
            told=self._done(request),
            sent=sent,
        )
        return self._shown(request, shown)

    async def _waited(self, request: Request, words: list[str]) -> Outcome | Response:
        """The outcome; where it takes long, a page that says what is being done."""
        try:
            asking = self._questions.asking(words)
            async with asyncio.timeout(SOON):
                return await asyncio.shield(asking.outcome)
        except TimeoutError:
            return self._working(request, asking)
        except Stopped:
            return plain_page(say.NOT_ANSWERED, say.WAS_STOPPED, 200)
        except TooMany:
            return plain_page(say.NOT_ANSWERED, say.BUSY, 503)

    def _working(self, request: Request, asking: Asking) -> Response:
        name = next((n for n, a in self._stoppable.items() if a is asking), "") or secrets.token_hex(8)
        self._stoppable = {n: a for n, a in self._stoppable.items() if not a.outcome.done()} | {name: asking}
        visit, fresh = self._visit(request)
        page = rendered(
            "working.html",
            here=here_of(request),
            asked=name,
            token=self._visits.token(visit),
            step=around.step_said(asking.step),
            seconds=int(asyncio.get_running_loop().time() - asking.began_at),
        )
        return around.visited(HTMLResponse(page, 202, {"refresh": str(AGAIN)}), visit, fresh, self._site)

    async def _document(self, words: list[str]) -> Response:
        """The bytes that ``--json`` prints."""
        try:
            found = await self._questions.ask(words, as_json=True)
        except TooMany:
            return plain_page(say.NOT_ANSWERED, say.BUSY, 503)
        except Stopped:
            return plain_page(say.NOT_ANSWERED, say.WAS_STOPPED, 200)
        if found.mistake:
            return Response(around.mistake_document(found), 422, media_type="application/json")
        return Response(found.written, media_type="application/json")

    def _visit(self, request: Request) -> tuple[str, bool]:
        visit = visit_of(request)
        return (visit, False) if visit else (secrets.token_urlsafe(24), True)

    def _why_read_only(self, request: Request) -> str:
        return self._site.why_read_only or (say.READ_ONLY if request.scope.get(READ_ONLY) else "")

    def _shown(self, request: Request, shown: Shown, status: int = 200) -> Response:
        visit, fresh = self._visit(request)
        mistake = shown.outcome.mistake
        page = rendered(
            "room.html",
            title=shown.title,
            rooms=shown.rooms,
            here=here_of(request),
            told=shown.told,
            beside=shown.outcome.beside,
            mistake=mistake if shown.sent is None else "",
            ask=shown.ask,
            found=shown.outcome.pieces,
            whole=shown.whole,
            sent=shown.sent,
            token=self._visits.token(visit),
            records=self._site.named,
            known=self._posts.known(visit),
            at=around.whole_number(request.query_params.get("at", "0")),
            turn=turner(request),
            may_write=not self._why_read_only(request),
            why_not=self._why_read_only(request),
            document=as_document(request),
        )
        status = 422 if (mistake or shown.sent is not None) and status == 200 else status
        return around.visited(HTMLResponse(page, status), visit, fresh, self._site)


async def _static(request: Request) -> Response:
    name = request.path_params["name"]
    if name not in STATIC:
        raise HTTPException(404)
    content = (files("knockon.queries.ui.page") / "static" / name).read_bytes()
    return Response(content, media_type=STATIC[name], headers={"cache-control": "max-age=3600"})


async def _no_such(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 404
    return plain_page(say.NOT_ANSWERED, say.NOT_HERE, status)


async def _too_much(request: Request, error: Exception) -> Response:
    from knockon.queries.ui.page.guard import MOST_MEGABYTES

    return plain_page(say.NOT_ANSWERED, say.TOO_LARGE.format(megabytes=MOST_MEGABYTES), 413)


async def _fault(request: Request, error: Exception) -> Response:
    return plain_page(say.NOT_ANSWERED, say.FAULT, 500)
