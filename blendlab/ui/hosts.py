"""The names under which the app answers: those of this machine alone.

A page of a stranger whose name is made to lead to this machine would otherwise be taken for ours.
"""

from __future__ import annotations

from pathlib import Path
from urllib.parse import urlsplit

from starlette.datastructures import Headers
from starlette.middleware import Middleware
from starlette.middleware.trustedhost import TrustedHostMiddleware
from starlette.responses import Response
from starlette.types import ASGIApp, Receive, Scope, Send

OWN_HOSTS = ("localhost", "127.0.0.1", "::1", "[::1]")
DOOR = Path(__file__).with_name("door.py")
"""What is drawn in a session."""


class OwnPages:
    """Answers what our own pages ask; of a page of another origin nothing reaches the app.

    The app itself would look up this machine's address outside before it refused such a page.
    """

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or hand it on."""
        headers = Headers(scope=scope) if scope["type"] in ("http", "websocket") else Headers()
        foreign = any(_host(origin) != headers.get("host") for origin in headers.getlist("origin"))
        answer = Response(status_code=403) if foreign else self.app
        await answer(scope, receive, send)


def _host(origin: str) -> str:
    """Name and port in an Origin; "" where there is none."""
    try:
        return urlsplit(origin).netloc
    except ValueError:
        return ""


GUARD = (
    Middleware(TrustedHostMiddleware, allowed_hosts=OWN_HOSTS, www_redirect=False),
    Middleware(OwnPages),
)
"""Pages, files and the websocket alike; `server.allowedHosts` would close the websocket only."""
