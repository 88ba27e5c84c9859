"""A living page as a user has it served: each saved change is told to the page, and how the command ends."""

import http.client
import json
import os
import re
import signal
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from builders import written
from called import START, called
from taken_apart import Page
from tube_by_rail import BROKEN, CLEAN, FAULT, UNDRAWN

LONG_S = 60.0  # for what is to happen soon, on a machine that is busy

Capture = pytest.CaptureFixture[str]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


@contextmanager
def watched(folder: Path, *words: str) -> "Iterator[tuple[subprocess.Popen[str], str]]":
    """The command while it serves, and the address that it tells."""
    with subprocess.Popen(
        [*START, "page", "scene.toml", "--watch", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=folder,
    ) as running:
        try:
            assert running.stdout is not None
            told = iter(running.stdout.readline, "")
            yield running, next(line.strip() for line in told if line.startswith("http"))
        finally:
            running.kill()


class Browser:
    """One that has opened an address and listens to what the page is told."""

    def __init__(self, address: str) -> None:
        whole = re.fullmatch(r"http://127\.0\.0\.1:([0-9]+)(/[A-Za-z0-9_-]+/)", address)
        assert whole
        self.port, self.path = int(whole[1]), whole[2]
        self.page = Page(self.asked("").read())
        (stamp,) = [attributes["data-live"] for tag, attributes, _ in self.page.elements if tag == "html"]
        self.events = self.asked(f"events?seen={stamp}")

    def asked(self, what: str) -> http.client.HTTPResponse:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=LONG_S)
        connection.request("GET", self.path + what)
        answer = connection.getresponse()
        assert answer.status == 200
        return answer

    def next(self) -> tuple[str, Any]:
        """The next event and its data."""
        event = ""
        while True:
            line = self.events.readline().decode()
            assert line
            name, _, value = line.rstrip("\n").partition(": ")
            event = value if name == "event" else event
            if name == "data":
                return event, json.loads(value)


def test_each_saved_change_is_shown_and_what_is_wrong_is_told_until_it_is_mended(folder: Path) -> None:
    scene = written(folder, FAULT)
    with watched(folder) as (running, address):
        browser = Browser(address)
        assert browser.page.data()["counts"]["fault"] == 1
        assert browser.next() == ("messages", [])
        scene.write_text(CLEAN)
        event, data = browser.next()
        assert (event, data["counts"]["fault"]) == ("lay", 0)
        assert browser.next() == ("messages", [])
        scene.write_text(BROKEN)
        event, texts = browser.next()
        assert event == "messages"
        assert len(texts) == 1
        assert texts[0].startswith("scene.toml:")
        assert "part.rail.size.wide" in texts[0]
        assert Browser(address).page.data()["counts"]["fault"] == 0
        scene.write_text(CLEAN)
        assert browser.next() == ("messages", [])
        scene.write_text(FAULT)
        assert browser.next()[1]["counts"]["fault"] == 1
        assert running.poll() is None


def test_a_plan_that_is_laid_meanwhile_is_shown(folder: Path, capsys: Capture) -> None:
    written(folder, UNDRAWN)
    with watched(folder) as (_, address):
        browser = Browser(address)
        assert browser.page.data()["tubes"][0]["corners"] is None
        assert browser.next() == ("messages", [])
        assert called(capsys, "plan", "scene.toml").code == 0
        event, data = browser.next()
        assert event == "lay"
        assert data["tubes"][0]["planned"] is True
        assert data["tubes"][0]["corners"] is not None


def test_ctrl_c_ends_a_living_page_at_once_and_leaves_nothing(folder: Path) -> None:
    written(folder, CLEAN)
    with watched(folder) as (running, address):
        browser = Browser(address)
        assert browser.next() == ("messages", [])
        running.send_signal(signal.SIGINT)
        out, err = running.communicate(timeout=LONG_S)
        assert browser.events.read() == b"\n"  # of the last event
    assert (running.returncode, out, err) == (130, "", "\nrouteviz: stopped\n")
    assert os.listdir(folder) == ["scene.toml"]


def test_a_port_in_use_is_told(folder: Path, capsys: Capture) -> None:
    written(folder, CLEAN)
    with watched(folder) as (_, address):
        port = str(Browser(address).port)
        left = called(capsys, "page", "scene.toml", "--watch", "--port", port)
    assert left.code == 2
    assert left.err == (
        f"port {port} of this machine cannot be used: Address already in use\n"
        "  remedy: end what uses it, or leave the port to be chosen\n"
    )


def test_a_scene_that_cannot_be_used_is_not_served(folder: Path, capsys: Capture) -> None:
    written(folder, BROKEN)
    left = called(capsys, "page", "scene.toml", "--watch")
    assert (left.code, left.out) == (2, "")
    assert left.err == called(capsys, "check", "scene.toml").err
