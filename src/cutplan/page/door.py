"""Who is let in to the page, and what is answered at all: key, cookie, host, origin and size of every request.

Without the key nothing is answered, not even what it is. The key in the address is exchanged for a cookie that no
script reads and that no other site's request carries; host and origin must be this server's own, so that a page from
elsewhere that sends requests here, by whatever name, is not heard.
"""

from __future__ import annotations

from http import HTTPStatus
from http.cookies import CookieError, SimpleCookie
from secrets import compare_digest, token_urlsafe
from typing import TYPE_CHECKING, Final
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import RedirectResponse, Response

from cutplan import photograph
from cutplan.page.asked import whole_in

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_BYTES: Final = 64_000
"""The largest request that is read: a survey's change takes a few hundred."""

HEADERS: Final = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
        "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}
PICTURE: Final = "/picture"
"""Where a photograph is sent, which may be larger."""
_READING: Final = frozenset({"GET", "HEAD"})


class Keys:
    """The keys that open the door, and who has come in."""

    def __init__(self) -> None:
        self._keys: dict[str, bool] = {}
        self._inside: list[str] = []

    def new(self, *, for_once: bool) -> str:
        """Return a new key: one that opens the door once, or as long as the server runs."""
        key = token_urlsafe(16)
        self._keys[key] = for_once
        return key

    def admit(self, key: str) -> str | None:
        """Return what the browser that brought a key is known by from now on; None for a key that opens nothing."""
        found = [known for known in self._keys if compare_digest(known.encode(), key.encode())]
        if not found:
            return None
        if self._keys[found[0]]:
            del self._keys[found[0]]
        self._inside.append(token_urlsafe(32))
        return self._inside[-1]

    def knows(self, token: str) -> bool:
        """Return True for a browser that came in with a key."""
        return any(compare_digest(known.encode(), token.encode()) for known in self._inside)


class Door:
    """Lets requests through to the page, of browsers that have come in with one of its keys.

    ``hosts`` are names, with the port, by which this server may be called.
    """

    def __init__(self, app: ASGIApp, keys: Keys, hosts: frozenset[str]) -> None:
        self._app = app
        self._keys = keys
        self._hosts = hosts
        port = next(iter(sorted(hosts))).rpartition(":")[2]
        self._cookie = f"cutplan-{port}"  # Cookies of one host are shared by all its ports.

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or let it through."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
        elif scope["type"] == "http":
            refused = self._refused(scope)
            if refused is not None:
                await refused(scope, receive, send)
            else:
                await self._let_through(scope, receive, send)

    def _refused(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        if headers.get("host", "") not in self._hosts:
            return Response(status_code=HTTPStatus.NOT_FOUND)
        if not self._keys.knows(_cookie_of(headers, self._cookie)):
            return self._admitted(scope) or Response(status_code=HTTPStatus.NOT_FOUND)
        if scope["method"] in _READING:
            return None
        if headers.get("origin") != f"http://{headers['host']}":
            return Response(status_code=HTTPStatus.FORBIDDEN)
        length = whole_in(headers.get("content-length", "0"))
        if length is None or length > _most(scope):
            return Response(status_code=HTTPStatus.REQUEST_ENTITY_TOO_LARGE)
        return None

    def _admitted(self, scope: Scope) -> Response | None:
        """Return the way in with a cookie, for whoever brings a key; None for anybody else."""
        keys = parse_qs(scope["query_string"].decode("latin-1")).get("key", [])
        if scope["method"] != "GET" or scope["path"] != "/" or len(keys) != 1:
            return None
        token = self._keys.admit(keys[0])
        if token is None:
            return None
        response = RedirectResponse("/", HTTPStatus.SEE_OTHER)
        response.set_cookie(self._cookie, token, httponly=True, samesite="strict", path="/")
        response.headers.update(HEADERS)
        return response

    async def _let_through(self, scope: Scope, receive: Receive, send: Send) -> None:
        read = 0

        async def limited() -> Message:
            nonlocal read
            message = await receive()
            read += len(message.get("body", b""))
            if read > _most(scope):
                raise HTTPException(HTTPStatus.REQUEST_ENTITY_TOO_LARGE)
            return message

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        await self._app(scope, limited, guarded)


def _most(scope: Scope) -> int:
    is_picture = scope["path"].endswith(PICTURE)
    return photograph.MOST_BYTES + MOST_BYTES if is_picture else MOST_BYTES


def _cookie_of(headers: Headers, name: str) -> str:
    try:
        morsel = SimpleCookie(headers.get("cookie", "")).get(name)
    except CookieError:
        return ""
    return "" if morsel is None else morsel.value
