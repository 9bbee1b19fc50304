"""The app answers to its own names only: pages, files, the websocket."""

from __future__ import annotations

import asyncio
import base64
import os
import socket
from concurrent.futures import ThreadPoolExecutor

import pytest

from blendlab.ui import hosts
from tests.test_cli_open import ROOT, SAID, running

OWN = ("localhost", "127.0.0.1", "[::1]", "LOCALHOST")
FOREIGN = (
    "example.test",
    "localhost.example.test",
    "127.0.0.1.example.test",
    "192.168.1.5",
    "",
    "a@localhost",
)
PATHS = ("/", "/look", "/_stcore/health", "/_stcore/host-config", "/media/x.png", "/_stcore/upload_file/x/y")


@pytest.fixture(scope="module")
def port(tmp_path_factory):
    folder = tmp_path_factory.mktemp("hosts")
    with running(folder, "--port", "8640", "--no-browser") as program:
        line = program.stdout.readline()
        while not SAID.fullmatch(line):
            line = program.stdout.readline()
        yield int(SAID.fullmatch(line)[2])


def asked(port, path, host, *headers):
    """The status of the answer to a request as it is written here."""
    lines = [f"GET {path} HTTP/1.1", f"Host: {host}", "Connection: close", *headers, "", ""]
    with socket.create_connection(("localhost", port), timeout=30) as link:
        link.sendall("\r\n".join(lines).encode())
        link.settimeout(30)
        return int(link.recv(4096).split()[1])


def upgraded(port, host, origin):
    key = base64.b64encode(os.urandom(16)).decode()
    return asked(
        port,
        "/_stcore/stream",
        host,
        "Upgrade: websocket",
        "Connection: Upgrade",
        f"Sec-WebSocket-Key: {key}",
        "Sec-WebSocket-Version: 13",
        f"Origin: http://{origin}",
    )


@pytest.mark.parametrize("host", OWN)
def test_its_own_names_are_answered(port, host):
    assert asked(port, "/", f"{host}:{port}") == 200
    assert upgraded(port, f"{host}:{port}", f"{host}:{port}") == 101


@pytest.mark.parametrize("host", FOREIGN)
def test_a_foreign_name_is_refused_on_pages_and_on_the_websocket(port, host):
    for path in PATHS:
        assert asked(port, path, host) == 400, path
        assert asked(port, path, f"{host}:{port}") == 400, path
    assert upgraded(port, f"{host}:{port}", f"{host}:{port}") in (400, 403)
    assert upgraded(port, f"{host}:{port}", f"localhost:{port}") in (400, 403)


def test_a_foreign_page_cannot_open_the_websocket_under_our_name(port):
    assert upgraded(port, f"localhost:{port}", "example.test") in (400, 403)


async def _answers(origins, asked):
    """The answers that the guard gives itself, where only what it lets through is put into `asked`."""
    told = []

    async def within(scope, receive, send):
        asked.append(scope)

    async def send(message):
        told.append(message)

    app = within
    for layer in reversed(hosts.GUARD):
        app = layer.cls(app, *layer.args, **layer.kwargs)
    headers = [(b"host", b"localhost:8640"), *((b"origin", origin) for origin in origins)]
    for kind in ("http", "websocket"):
        await app({"type": kind, "path": "/_stcore/stream", "headers": headers}, None, send)
    return told


def _asked(origins, reached):
    """In a thread of its own: a browser walk of the same worker leaves a loop running in this one."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, _answers(origins, reached)).result()


@pytest.mark.parametrize(
    "origins",
    [
        (b"http://example.test",),
        (b"http://localhost.example.test:8640",),
        (b"http://localhost:9999",),
        (b"http://[::1]:8640",),
        (b"http://a@localhost:8640",),
        (b"http://[broken",),
        (b"null",),
        (b"",),
        (b"http://localhost:8640", b"http://example.test"),
    ],
)
def test_a_foreign_origin_is_refused_before_the_app_asks_anybody_outside(origins):
    """The app looks its own address up outside before it refuses one."""
    reached = []
    told = _asked(origins, reached)
    assert reached == []
    assert [message["status"] for message in told if "status" in message] == [403, 403]


@pytest.mark.parametrize("origins", [(), (b"http://localhost:8640",), (b"https://localhost:8640",)])
def test_our_own_pages_reach_the_app(origins):
    reached = []
    assert _asked(origins, reached) == []
    assert [scope["type"] for scope in reached] == ["http", "websocket"]


def test_the_door_of_a_checkout_is_that_of_an_installed_copy():
    ours, packaged = (ROOT / "app.py").read_text(), (ROOT / "blendlab" / "ui" / "serve.py").read_text()
    assert ours.partition("\n")[2] == packaged.partition("\n")[2]
