"""The page's server: what is answered at which address."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Awaitable, Callable
from functools import partial
from http import HTTPStatus
from importlib.resources import files
from typing import TYPE_CHECKING, Final, ParamSpec, TypeVar

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.formparsers import MultiPartException
from starlette.responses import HTMLResponse, JSONResponse, Response, StreamingResponse
from starlette.routing import Mount, Route

from cutplan.errors import CutplanError
from cutplan.page.asked import Asked
from cutplan.page.at_table import record_once
from cutplan.page.customer_part import page_for_customer
from cutplan.page.desk import Desk
from cutplan.page.door import PICTURE
from cutplan.page.moving import Mover
from cutplan.page.page_parts import FOR_CUSTOMER, PARTS, shown, whole_page
from cutplan.page.parts_part import mirrored_sheet
from cutplan.page.phone_code import code_drawn
from cutplan.page.photograph_part import ADDRESS, keep_lines, keep_picture, picture_named
from cutplan.page.rolls_part import where_it_fits
from cutplan.page.surveying import ChangedElsewhereError, Surveyors
from cutplan.photograph import print_of
from cutplan.render.sheet.html_page import part_of_sheet, script_hash
from cutplan.render.words.names import capital

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.types import Receive, Scope, Send

P = ParamSpec("P")
T = TypeVar("T")

LOOK: Final = 0.2
"""Seconds between two looks at the job's files: two devices see each other's ticks well within a second."""
_BEAT: Final = 15
"""So many looks without news are told too, so that the page knows that somebody is there."""
_PICTURES: Final = {"jpg": "image/jpeg", "jpeg": "image/jpeg", "png": "image/png", "webp": "image/webp"}
_ONE_FILE: Final = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; frame-ancestors 'none'"
)
"""What the customer's page may do, which is one file and holds its own style; no script at all."""
_SHEET: Final = _ONE_FILE.replace("img-src", f"script-src '{script_hash()}'; img-src")
"""Likewise a job sheet, with the one script that keeps its ticks."""
_TYPES: Final = {"js": "text/javascript", "css": "text/css", "svg": "image/svg+xml"}


def application(desk: Desk, mover: Mover, invites: Callable[[], str] | None = None) -> Starlette:
    """Return the page of a job, to be served behind a door.

    ``invites`` returns the address with which one more phone may come in; None where none may.
    """
    answering = _Answering(desk, mover, invites)
    return Starlette(routes=[*_routes(answering), Mount("/of/{name}", _Within(desk, invites))])


def _routes(answering: _Answering) -> list[Route]:
    return [
        Route("/", answering.page),
        Route("/static/{name}", answering.static),
        Route("/part/{name}", answering.part),
        Route("/news", answering.news),
        Route("/record", answering.doing(partial(record_once, answering.desk)), methods=["POST"]),
        Route("/start", answering.doing(answering.mover.move, refused=HTTPStatus.OK), methods=["POST"]),
        Route("/start/keep", answering.doing(answering.mover.keep), methods=["POST"]),
        Route("/band", answering.band),
        Route(ADDRESS, answering.print),
        Route("/photograph", answering.doing(partial(keep_lines, answering.desk)), methods=["POST"]),
        Route("/photograph/{name}", answering.photograph),
        Route(PICTURE, answering.picture, methods=["POST"]),
        Route("/edit", answering.doing(answering.surveyors.edit), methods=["POST"]),
        Route("/change", answering.doing(answering.surveyors.change), methods=["POST"]),
        Route("/name", answering.doing(answering.surveyors.name), methods=["POST"]),
        Route("/fit", answering.doing(partial(where_it_fits, answering.desk), refused=HTTPStatus.OK), methods=["POST"]),
        Route("/customer", answering.customer),
        Route("/mirrored/{name}", answering.mirrored),
        Route("/phone", answering.phone, methods=["POST"]),
    ]


class _Within:
    """Answers for the parts of a job, and for the rooms of a contract, each at an address of its own."""

    def __init__(self, desk: Desk, invites: Callable[[], str] | None) -> None:
        self._desk = desk
        self._invites = invites
        self._pages: dict[Desk, Starlette] = {}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        found = await run_in_threadpool(self._desk.within, scope["path_params"]["name"])
        if found is None:
            raise HTTPException(HTTPStatus.NOT_FOUND)
        if found not in self._pages:
            self._pages[found] = Starlette(routes=_routes(_Answering(found, Mover(found), self._invites)))
        await self._pages[found](scope, receive, send)


class _Answering:
    """Answers for one job."""

    def __init__(self, desk: Desk, mover: Mover, invites: Callable[[], str] | None) -> None:
        self.desk = desk
        self.invites = invites
        self.mover = mover
        self.surveyors = Surveyors(desk)
        folder = files("cutplan.page").joinpath("static")
        self.files = {file.name: file.read_bytes() for file in folder.iterdir()}
        self.files["sheet.css"] = part_of_sheet("sheet.css").encode()

    async def page(self, request: Request) -> Response:
        return HTMLResponse(
            whole_page(self.desk, invites=self.invites is not None, is_within="name" in request.path_params)
        )

    async def static(self, request: Request) -> Response:
        name = request.path_params["name"]
        if name not in self.files:
            raise HTTPException(HTTPStatus.NOT_FOUND)
        return Response(self.files[name], media_type=_TYPES[name.rpartition(".")[2]])

    async def part(self, request: Request) -> Response:
        name = request.path_params["name"]
        if name not in PARTS and name != FOR_CUSTOMER:
            raise HTTPException(HTTPStatus.NOT_FOUND)
        return HTMLResponse(await run_in_threadpool(shown, self.mover, name))

    async def customer(self, _request: Request) -> Response:
        page = await _found(page_for_customer, self.mover)
        return HTMLResponse(page, headers={"Content-Security-Policy": _ONE_FILE})

    async def mirrored(self, request: Request) -> Response:
        page = await _found(mirrored_sheet, self.desk, request.path_params["name"])
        return HTMLResponse(page, headers={"Content-Security-Policy": _SHEET})

    async def phone(self, _request: Request) -> Response:
        if self.invites is None:
            raise HTTPException(HTTPStatus.NOT_FOUND)
        address = self.invites()
        return JSONResponse({"svg": code_drawn(address), "address": address})

    async def band(self, _request: Request) -> Response:
        return JSONResponse(self.mover.band.content())

    async def print(self, _request: Request) -> Response:
        printed = await _found(lambda: print_of(self.desk.scenario()))
        if printed is None:
            raise HTTPException(HTTPStatus.NOT_FOUND)
        return Response(printed.jpeg, media_type="image/jpeg")

    async def picture(self, request: Request) -> Response:
        try:
            async with request.form(max_files=1, max_fields=0) as form:
                sent = form.get("picture")
                data, name = (await sent.read(), sent.filename or "") if isinstance(sent, UploadFile) else (b"", "")
            return JSONResponse(await run_in_threadpool(keep_picture, self.desk, name, data))
        except (CutplanError, OSError, MultiPartException) as error:
            return JSONResponse({"error": capital(str(error))}, HTTPStatus.CONFLICT)

    async def photograph(self, request: Request) -> Response:
        name = request.path_params["name"]
        data = await _found(picture_named, self.desk, name)
        return Response(data, media_type=_PICTURES[name.rpartition(".")[2].lower()])

    def doing(
        self, act: Callable[[Asked], object], *, refused: HTTPStatus = HTTPStatus.CONFLICT
    ) -> Callable[[Request], Awaitable[Response]]:
        """Return what does what is asked and answers with what came of it, or with why it cannot be.

        What was only asked, and changes nothing, is answered well with why: a start while the room is half typed.
        """

        async def done(request: Request) -> Response:
            body = await request.body()
            try:
                found = await run_in_threadpool(lambda: act(Asked.from_json(body)))
            except ChangedElsewhereError as error:
                return JSONResponse({"error": str(error), "now": error.now}, HTTPStatus.CONFLICT)
            except (CutplanError, ValueError) as error:
                return JSONResponse({"error": capital(str(error))}, refused)
            return JSONResponse(found if isinstance(found, dict) else {})

        return done

    async def news(self, _request: Request) -> Response:
        headers = {"X-Accel-Buffering": "no"}
        return StreamingResponse(self._marks(), media_type="text/event-stream", headers=headers)

    async def _marks(self) -> AsyncIterator[str]:
        """Yield the marks of the job's files, at once and whenever one of them changes."""
        told, quiet = None, 0
        while True:
            marks = [*self.desk.marks(), self.mover.band.mark]
            quiet += 1
            if marks != told or quiet >= _BEAT:
                told, quiet = marks, 0
                yield f"data: {json.dumps(marks)}\n\n"
            await asyncio.sleep(LOOK)


async def _found(find: Callable[P, T], *told: P.args, **named: P.kwargs) -> T:
    """Return what is looked for; where there is nothing of the kind, nothing is at that address."""
    try:
        return await run_in_threadpool(find, *told, **named)
    except CutplanError as error:
        raise HTTPException(HTTPStatus.NOT_FOUND) from error
