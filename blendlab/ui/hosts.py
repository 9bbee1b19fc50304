"""The names under which the app answers: those of this machine alone.

A page of a stranger whose name is made to lead to this machine would otherwise be taken for ours.
"""

from __future__ import annotations

from pathlib import Path

from starlette.middleware import Middleware
from starlette.middleware.trustedhost import TrustedHostMiddleware

OWN_HOSTS = ("localhost", "127.0.0.1", "::1", "[::1]")
GUARD = (Middleware(TrustedHostMiddleware, allowed_hosts=OWN_HOSTS, www_redirect=False),)
"""Pages, files and the websocket alike; `server.allowedHosts` would close the websocket only."""
DOOR = Path(__file__).with_name("door.py")
"""What is drawn in a session."""
