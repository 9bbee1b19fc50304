"""`blendlab` itself: where the app is, the browser, a port that is taken, nothing else in the terminal."""

from __future__ import annotations

import argparse
import os
import re
import socket
import subprocess
import sys
import urllib.request
from contextlib import contextmanager
from pathlib import Path

import pytest

from blendlab import cli

ROOT = Path(__file__).parents[1]
SAID = re.compile(r"blendlab is at (http://localhost:(\d+)) on this machine\. Ctrl\+C ends it\.\n")


@contextmanager
def listening(*families):
    """A port that another program listens at, under the given kinds of address."""
    addresses = {socket.AF_INET: "127.0.0.1", socket.AF_INET6: "::1"}
    with socket.create_server((addresses[families[0]], 0), family=families[0]) as taken:
        yield taken.getsockname()[1]


def has_ipv6() -> bool:
    try:
        socket.create_server(("::1", 0), family=socket.AF_INET6).close()
    except OSError:
        return False
    return True


def test_a_free_port_is_taken_as_asked():
    with listening(socket.AF_INET) as port:
        pass
    assert cli._free_port(port) == port


def test_a_taken_port_is_answered_by_the_next_free_one():
    with listening(socket.AF_INET) as port:
        assert cli._free_port(port) > port


def test_several_that_start_at_once_take_a_port_each():
    """All of them find the port free: none listens yet."""
    with listening(socket.AF_INET) as port:
        pass
    asks = (
        f"import sys; from blendlab import cli; print(cli._free_port({port}), flush=True); sys.stdin.read()"
    )
    starts = [
        subprocess.Popen(
            [sys.executable, "-c", asks], cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        for _ in range(3)
    ]
    found = {start.stdout.readline() for start in starts}
    for start in starts:
        start.communicate(timeout=60)
    assert len(found) == 3
    assert cli._free_port(port) == port


@pytest.mark.skipif(not has_ipv6(), reason="no IPv6 on this machine")
def test_a_port_taken_under_the_other_kind_of_address_is_left_alone_too():
    with listening(socket.AF_INET6) as port:
        assert cli._free_port(port) > port


def test_where_every_port_is_taken_that_is_said(monkeypatch, capsys):
    monkeypatch.setattr(cli, "_taken", lambda port: True)
    assert cli.main(["--port", "8600"]) == 2
    assert "port 8600: 50 ports from this one on are taken" in capsys.readouterr().err


@pytest.mark.parametrize("port", ["0", "65536", "-1", "many", "8.5", "²"])
def test_what_is_no_port_is_refused(port, capsys):
    with pytest.raises(SystemExit) as left:
        cli.main([f"--port={port}"])
    assert left.value.code == 2
    assert "from 1 to 65535" in capsys.readouterr().err


def test_the_app_opens_the_folder_that_the_other_commands_mean(tmp_path, monkeypatch):
    for name in ("HOME", "USERPROFILE"):
        monkeypatch.setenv(name, str(tmp_path))
    monkeypatch.setenv("BLENDLAB_FOLDER", "")
    monkeypatch.setattr(cli, "_show", lambda *_: None)
    monkeypatch.setattr(sys, "argv", list(sys.argv))
    monkeypatch.setattr("streamlit.web.cli.main", lambda **_: 0)
    assert cli.main(["--folder=~/jars"]) == 0  # a shell leaves this as it is
    assert os.environ["BLENDLAB_FOLDER"] == str(cli._hers(argparse.Namespace(folder="~/jars")).root)


@contextmanager
def running(folder, *options, **environment):
    """`blendlab` as a maker starts it; ended as Ctrl+C ends it."""
    command = [sys.executable, "-m", "blendlab.cli", "--folder", str(folder), *options]
    program = subprocess.Popen(
        command,
        cwd=ROOT,
        env={**os.environ, **environment},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        yield program
    finally:
        program.terminate()
        program.communicate(timeout=60)


def test_a_taken_port_is_said_the_app_answers_at_the_next_and_the_terminal_says_nothing_else(tmp_path):
    with (
        listening(socket.AF_INET) as port,
        running(tmp_path, "--port", str(port), "--no-browser") as program,
    ):
        moved, where = program.stdout.readline(), program.stdout.readline()
        url, took = SAID.fullmatch(where).groups()
        assert moved == f"Port {port} is taken by another program; blendlab takes {took}.\n"
        assert int(took) > port
        with urllib.request.urlopen(url, timeout=30) as page:
            assert page.status == 200
        program.terminate()
        said, complained = program.communicate(timeout=60)
    assert said.split() in ([], ["Stopping..."])
    assert complained == ""


BROWSER = """#!{python}
import socket, sys
with socket.create_connection(("127.0.0.1", {port})) as told:
    told.sendall(sys.argv[1].encode())
"""


@pytest.mark.skipif(os.name == "nt", reason="the stand-in for a browser is a script with a first line")
def test_the_browser_is_opened_once_the_app_answers(tmp_path):
    stand_in = tmp_path / "browser"
    with socket.create_server(("127.0.0.1", 0)) as ear:
        ear.settimeout(60)
        stand_in.write_text(
            BROWSER.format(python=sys.executable, port=ear.getsockname()[1]), encoding="utf-8"
        )
        stand_in.chmod(0o755)
        with running(tmp_path / "hers", BROWSER=str(stand_in)) as program:
            with ear.accept()[0] as told:
                url = told.makefile().read()
            with urllib.request.urlopen(f"{url}/_stcore/health", timeout=30) as answer:
                assert answer.status == 200
            program.terminate()
            said, complained = program.communicate(timeout=60)
    assert url in said
    assert complained == ""


def test_without_a_window_to_open_in_no_browser_is_asked_for(monkeypatch, capsys):
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "BROWSER"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(cli, "_answers", lambda port: True)
    monkeypatch.setattr(cli.webbrowser, "open", lambda url: pytest.fail("a text browser would take over"))
    cli._show(8501, in_browser=True)
    assert "open that address in one" in capsys.readouterr().out
