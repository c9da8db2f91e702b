"""The watch: it follows, and nobody else gets in."""

from __future__ import annotations

import http.client
import json
import os
import shlex
import signal
import socket
import struct
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

from formparts import InputError, find_recipe
from formparts.cli import main
from formparts.closed_forms import properties
from formparts.families import checked, read_table
from formparts.watch import Watched, watching
from formparts.watch.aside import told_of_range
from formparts.watch.part import harmless
from formparts.watch.server import MOST_CONNECTIONS
from tests.html.axe import script, serious_faults
from tests.html.browser import PROGRAM, Page, browser

ROOT = Path(__file__).parents[2]
RECIPE = '''
from typing import Annotated

from formparts import Body, Length, Sheet, plate, recipe, rectangle


@recipe
def shim(
    length: Annotated[float, Length("of the shim", 10, 200)] = 50,
    width: Annotated[float, Length("of the shim", 10, 200)] = 20,
) -> Body:
    """A plain shim."""
    return plate(Sheet(2, 2, "S235JR"), rectangle(length, width), name="shim")
'''


@pytest.fixture
def shim(tmp_path: Path) -> Path:
    path = tmp_path / "shim.py"
    path.write_text(RECIPE, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    with watching("z_clip") as watch:
        yield watch.address


def asked(
    address: str,
    method: str = "GET",
    place: str = "",
    values: Any = None,
    headers: dict[str, str] | None = None,
) -> tuple[int, str, dict[str, str]]:
    """One request: status, text and headers of the answer."""
    there = urlsplit(address)
    link = http.client.HTTPConnection(str(there.hostname), there.port or 0, timeout=60)
    body = None if values is None else (values if isinstance(values, (str, bytes)) else json.dumps(values))
    link.request(method, there.path + place, body, {"Content-Type": "application/json", **(headers or {})})
    answer = link.getresponse()
    text = answer.read().decode()
    link.close()
    return answer.status, text, {name.lower(): value for name, value in answer.getheaders()}


def test_page_and_part(address: str) -> None:
    """The page is served; a part with other parameters comes with mass, blank, findings and command."""
    status, text, headers = asked(address)
    assert status == 200
    assert 'name="rise"' in text
    assert "default-src 'none'" in headers["content-security-policy"]
    assert headers["referrer-policy"] == "no-referrer"  # the address holds the word
    status, text, _ = asked(address, "POST", "part", {"rise": "30"})
    told = json.loads(text)
    assert status == 200
    mass = 1000 * properties(find_recipe("z_clip")(rise=30)).mass
    assert told["mass"] == f"{mass:.2f} g"
    assert set(told["parts"]) == {"top", "blank", "findings", "bends", "table"}


def test_the_command_makes_the_same_part(
    address: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command line on the page, run unchanged, gives the mass on the page."""
    told = json.loads(asked(address, "POST", "part", {"rise": "30", "material": "1.4301"})[1])
    words = shlex.split(told["command"])
    assert words[:3] == ["formparts", "make", "z_clip"]
    assert main([*words[1:], "--out", str(tmp_path)]) == 0
    capsys.readouterr()
    mass = json.loads((tmp_path / "z_clip.json").read_text(encoding="utf-8"))["mass_kg"]
    assert told["mass"] == f"{1000 * mass:.2f} g"


def test_solid_when_ready(address: str) -> None:
    told = json.loads(asked(address, "POST", "solid", {"rise": "30"})[1])
    assert told["solid"].endswith("agree")


def test_drawing_with_names_when_asked(address: str) -> None:
    """The names of the parameters are at their dimensions: the page shows it as a picture of its own."""
    told = json.loads(asked(address, "POST", "drawing", {"rise": "30"})[1])
    assert "30 [rise]" in told["drawing"]
    assert "data:image/svg+xml" in asked(address)[1]


def test_bad_value_is_one_line(address: str) -> None:
    """It says what is wrong, and the watch goes on."""
    told = json.loads(asked(address, "POST", "part", {"rise": "much"})[1])
    assert set(told) == {"error", "form", "stamp"}
    assert "rise" in told["error"]
    assert "\n" not in told["error"]
    assert asked(address)[0] == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"Host": "example.org"},
        {"Host": "127.0.0.1"},
        {"Origin": "http://example.org"},
        {"Origin": "null"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
@pytest.mark.parametrize(("method", "place"), [("GET", ""), ("GET", "stamp"), ("POST", "part")])
def test_others_are_refused(headers: dict[str, str], method: str, place: str, address: str) -> None:
    """Another host (a name that was bound to this machine), another origin, another site: 403, and nothing revealed."""
    status, text, _ = asked(address, method, place, {"rise": "30"} if method == "POST" else None, headers)
    assert (status, text) == (403, "Forbidden")


@pytest.mark.parametrize(
    "place",
    [
        "../",
        "part.py",
        "../../etc/passwd",
        "%2e%2e/",
        "stamp/",
        "page.js",
        "..%2fz_clip.py",
        "?file=z_clip.py",
    ],
)
def test_no_other_place(place: str, address: str) -> None:
    """Nothing but the page and its own questions is there: no file is served at all."""
    assert asked(address, "GET", place)[0] == 404


def test_the_word_is_needed(address: str) -> None:
    """Without it, with a wrong one, or with half of it, there is nothing; two watches have different words."""
    root = address.rsplit("/", 2)[0] + "/"
    word = address.rsplit("/", 2)[1]
    assert len(word) >= 32
    for wrong in ("", "x/", f"{word[:-1]}/", f"{word}x/", word):
        assert asked(root, "GET", wrong)[0] == 404
    with watching("z_clip") as other:
        assert other.address.rsplit("/", 2)[1] != word


@pytest.mark.parametrize(
    ("values", "headers"),
    [
        ("no json", {}), ("[1]", {}), ('{"rise": 3}', {}), ('{"rise": {"a": "b"}}', {}), ("[" * 50000, {}),
        ('{"rise": "30"}', {"Content-Type": "text/plain"}), (" " * 70000, {}),
    ],
)  # fmt: skip
def test_bad_questions(values: str, headers: dict[str, str], address: str) -> None:
    """What is not names and texts in JSON is refused; a form of another site cannot send that type."""
    assert asked(address, "POST", "part", values, headers)[0] == 400


@pytest.mark.parametrize("name", ["bend_rule", "material"])
@pytest.mark.parametrize(
    "value", ["/etc/passwd.csv", "secret.csv", "../x.csv", "~/k.csv", "a\\b", "own.toml:X"]
)
def test_the_page_reads_no_file(name: str, value: str, address: str) -> None:
    """A rule or material that could be a file on this machine is refused before it is looked for."""
    told = json.loads(asked(address, "POST", "part", {name: value})[1])
    assert "looks like a file" in told["error"]


def test_a_density_is_no_file() -> None:
    assert harmless(find_recipe("z_clip"), {"material": "2700 kg/m3"}) == {"material": "2700 kg/m3"}


def test_only_this_machine(address: str) -> None:
    """The port is bound to 127.0.0.1: at another address of this machine nobody answers."""
    port = urlsplit(address).port or 0
    with socket.socket() as probe:
        probe.settimeout(5)
        assert probe.connect_ex(("127.0.0.2", port)) != 0
    with socket.socket() as probe:
        assert probe.connect_ex(("127.0.0.1", port)) == 0


def test_a_busy_port_and_a_bad_recipe(address: str) -> None:
    with pytest.raises(InputError, match="cannot be had"), watching("z_clip", urlsplit(address).port or 0):
        pass
    with pytest.raises(InputError), watching("no_such_recipe"):
        pass


def test_the_file_is_followed(shim: Path) -> None:
    """An edit shows in the stamp and in the part; a file that is broken for a moment is one line."""
    with watching(f"{shim}:shim") as watch:
        before = json.loads(asked(watch.address, "POST", "part", {"length": "100"})[1])
        assert before["mass"] == "31.40 g"  # 100 x 20 x 2 mm3 of 7850 kg/m3
        edited(shim, RECIPE.replace("Sheet(2, 2", "Sheet(4, 2"))
        assert json.loads(asked(watch.address, "GET", "stamp")[1])["stamp"] != before["stamp"]
        assert json.loads(asked(watch.address, "POST", "part", {"length": "100"})[1])["mass"] == "62.80 g"
        edited(shim, "this is no Python")
        assert "shim.py" in json.loads(asked(watch.address, "POST", "part", {})[1])["error"]
        status, text, _ = asked(watch.address)  # the page, requested in that moment, is not an error
        assert (status, "shim.py" in text, "invalid syntax" in text) == (200, True, True)


def test_a_file_that_is_saved_while_a_part_is_built(shim: Path, tmp_path: Path) -> None:
    """The part's stamp is that of the file before it was read: the page sees the later one, and asks again."""
    begun = tmp_path / "begun"
    wait = f"import pathlib, time; pathlib.Path({str(begun)!r}).touch(); time.sleep(1)"
    slow = RECIPE.replace("    return plate(", f"    if length == 77: {wait}\n    return plate(")
    edited(shim, slow)
    with watching(f"{shim}:shim") as watch, ThreadPoolExecutor(1) as thread:
        building = thread.submit(asked, watch.address, "POST", "part", {"length": "77"})
        while not begun.exists():
            time.sleep(0.01)
        edited(shim, RECIPE)
        told = json.loads(building.result()[1])
        assert told["mass"] == "24.18 g"  # 77 x 20 x 2 mm3 of 7850 kg/m3
        assert told["stamp"] != json.loads(asked(watch.address, "GET", "stamp")[1])["stamp"]


FLANGED = '''
from typing import Annotated

from formparts import Body, Length, Sheet, add_flange, plate, recipe, rectangle


@recipe
def tray(
    length: Annotated[float, Length("of the base", 10, 200)] = 50,
    height: Annotated[float, Length("of the flange, to the outside", 2, 60)] = 20,
) -> Body:
    """A base with a flange along its back."""
    sheet = Sheet(2, 2, "S235JR", bend_rule="K 0.44")
    return add_flange(plate(sheet, rectangle(length, 40), name="base"), "back", height, name="wall")
'''
needs_browser = pytest.mark.skipif(
    PROGRAM is None, reason="no Chromium on this machine (Debian package chromium)"
)


@pytest.fixture(scope="module")
def page() -> Iterator[Page]:
    with browser() as opened:
        opened.size(1280, 900)
        yield opened


def fresh(page: Page, address: str) -> None:
    page.open("about:blank")  # what the page before was waiting for is not a complaint of this one
    page.complaints.clear()
    page.scheme("light")
    page.size(1280, 900)
    page.open(address)


def typed(page: Page, name: str, value: str) -> None:
    page.ask(
        f"(e => {{e.value = '{value}'; e.dispatchEvent(new Event('input', {{bubbles: true}}))}})"
        f"(document.getElementById('p-{name}'))"
    )


@needs_browser
def test_no_serious_accessibility_fault(page: Page, address: str) -> None:
    """A page with findings and many sliders, in light and dark, on a desk and on a phone; a planted fault is found."""
    fresh(page, address)
    typed(page, "rise", "10")
    waited(page, "String(document.body.innerText.includes('F1'))", "true")
    page.ask("document.getElementById('keep').click()")
    page.ask(script())
    assert faults_everywhere(page, phone=True) == []
    assert faults_everywhere(page, phone=False) == []
    page.ask("document.getElementById('state').style.cssText = 'color: #333; background: #222'")
    assert "color-contrast" in {fault[1] for fault in serious_faults(page)}
    assert page.complaints == []


def faults_everywhere(page: Page, phone: bool) -> list[list[str]]:
    """Serious faults in light and dark, on a desk or on a phone, where nothing may project from the window either."""
    found = []
    page.size(390 if phone else 1280, 900, phone)
    for scheme in ("light", "dark"):
        page.scheme(scheme)
        found += serious_faults(page)
    assert page.ask("document.documentElement.scrollWidth <= window.innerWidth")
    return found


def edited(path: Path, text: str) -> None:
    """Write a file so that its time of change differs, however coarse the clock of the disk."""
    path.write_text(text, encoding="utf-8")
    now = path.stat().st_mtime_ns + 2_000_000_000
    os.utime(path, ns=(now, now))


TEXT = "document.getElementById('{}').textContent"


@needs_browser
def test_in_the_browser(page: Page, shim: Path) -> None:
    """Mass, view and command follow a slider and the file; the last part stays while the file is broken."""
    with watching(f"{shim}:shim") as watch:
        fresh(page, watch.address)
        waited(page, TEXT.format("state"), "mass 15.70 g")
        slider = "document.querySelector('[data-for=length]')"
        page.ask(f"{slider}.value = '100'; {slider}.dispatchEvent(new Event('input', {{bubbles: true}}))")
        waited(page, TEXT.format("state"), "mass 31.40 g")
        assert page.ask("document.getElementById('p-length').value") == "100"
        assert page.ask(TEXT.format("command")).endswith("--set length=100")
        assert max(page.ask("formpartsPage.state.skin.places")) == pytest.approx(50.0)
        waited(page, "String(document.getElementById('solid').textContent.endsWith('agree'))", "true")
        edited(shim, RECIPE.replace("Sheet(2, 2", "Sheet(4, 2"))
        waited(page, TEXT.format("state"), "mass 62.80 g")
        edited(shim, RECIPE.replace("width), name", "-1), name"))
        waited(page, "document.getElementById('state').className", "error")
        line = 1 + RECIPE[: RECIPE.index("return plate")].count("\n")
        assert page.ask(TEXT.format("state")).endswith(f"(shim.py, line {line})")
        assert page.ask("document.body.className") == "stale"
        assert "62.80 g" in page.ask(TEXT.format("top"))  # the last good part is still there
        page.ask(script())
        assert faults_everywhere(page, phone=False) == []  # with the message of an error on it
        page.open(watch.address)  # opened while the file is broken it says the same, and follows
        assert page.ask(TEXT.format("state")).endswith(f"(shim.py, line {line})")
        page.ask(script())
        assert faults_everywhere(page, phone=False) == []
        edited(shim, RECIPE)
        waited(page, "document.getElementById('state')?.textContent", "mass 15.70 g")
        edited(shim, RECIPE.replace("width", "breadth"))  # another parameter: another form
        waited(page, "String(Boolean(document.getElementById('p-breadth')))", "true")
        waited(page, "document.getElementById('state')?.textContent", "mass 15.70 g")
        assert page.complaints == []


@needs_browser
def test_what_a_parameter_moves_and_what_is_kept(page: Page, tmp_path: Path) -> None:
    """
    A line with the focus lights its flats and bends and shows its dimension; a fix is applied, a variant
    kept, a step undone.

    By hand: the wall needs half the V of 12 mm and the setback of 4 mm or more, so that 5 mm are too low and the
    slider from 8 to 50 mm works; the two kept rows are a table that `formparts family` reads.
    """
    recipe = tmp_path / "tray.py"
    recipe.write_text(FLANGED, encoding="utf-8")
    with watching(f"{recipe}:tray") as watch:
        fresh(page, watch.address)
        waited(page, "String(document.getElementById('undo').disabled)", "true")
        page.ask("document.getElementById('p-height').focus()")
        waited(page, "document.querySelector('#dimension .name')?.textContent", "height")
        assert page.ask("[...document.querySelectorAll('.blank .lit')].map(e => e.dataset.piece)") == ["wall"]
        page.ask("document.getElementById('keep').click()")
        typed(page, "height", "5")
        waited(page, "document.querySelector('[data-fix^=\"height at least\"]') ? 'a fix' : ''", "a fix")
        assert page.ask("document.querySelectorAll('#blank .ghost').length") == 1
        page.ask("document.querySelector('[data-fix^=\"height at least\"]').click()")
        waited(page, "String(document.querySelector('.verdict').textContent.startsWith('0 errors'))", "true")
        page.ask("document.getElementById('keep').click()")
        height = page.ask("document.getElementById('p-height').value")
        assert 5.0 < float(height) < 20.0
        assert page.ask(TEXT.format("family")) == f"name,height\nv1,20\nv2,{height}\n"
        page.ask("document.getElementById('undo').click()")
        waited(page, "document.getElementById('p-height').value", "5")
        assert page.complaints == []
    (tmp_path / "kept.csv").write_text(f"name,height\nv1,20\nv2,{height}\n", encoding="utf-8")
    rows, faults = checked(find_recipe(f"{recipe}:tray"), read_table(tmp_path / "kept.csv"))
    assert (len(rows), faults) == (2, [])


def test_where_a_slider_works() -> None:
    """So many lugs fit, and of wider ones fewer: the end of one slider's part follows the value of another."""
    watched, ends = Watched("ring_riser"), []
    for width in ("26", "36"):
        (run,) = told_of_range(watched, {"lug_width": width}, "lug_count")["works"]
        assert "overlap" in run["above"]
        ends.append(run["to"])
    assert ends[0] > ends[1]
    assert "is not a number" in told_of_range(watched, {}, "material")["error"]


def test_two_people_may_open_it(address: str) -> None:
    """Each gets the part that they asked for, at the same time."""
    with ThreadPoolExecutor(2) as threads:
        rises = ("20", "30") * 3
        answers = threads.map(lambda rise: asked(address, "POST", "part", {"rise": rise})[1], rises)
        masses = [json.loads(text)["mass"] for text in answers]
    wanted = [f"{1000 * properties(find_recipe('z_clip')(rise=float(rise))).mass:.2f} g" for rise in rises]
    assert masses == wanted


def test_command_ends_quietly() -> None:
    """The command prints the address, and ends with 0 when it is interrupted."""
    # What is started from the background of a shell is deaf to interrupts, and so are its children.
    hears = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)"
    line = [sys.executable, "-c", f"{hears}; from formparts.cli import main; exit(main(['watch', 'z_clip']))"]
    with subprocess.Popen(
        line, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=ROOT
    ) as process:
        try:
            assert process.stdout is not None
            address = process.stdout.readline().split()[-1]
            assert asked(address)[0] == 200
            process.send_signal(signal.SIGINT)
            _, complaints = process.communicate(timeout=30)
        finally:
            process.kill()
    assert process.returncode == 0
    assert complaints == ""


LOOP = RECIPE.replace(
    '    """A plain shim."""', '    """A plain shim."""\n    while length == 77:\n        pass'
)


def test_a_recipe_that_never_ends_is_stopped_and_the_page_goes_on(shim: Path) -> None:
    """It is built in a process of its own: the file's stamp is sent meanwhile, and the next part is built."""
    shim.write_text(LOOP, encoding="utf-8")
    with watching(f"{shim}:shim", time_limit=4.0) as watch:
        with ThreadPoolExecutor(1) as thread:
            began = time.monotonic()
            looping = thread.submit(asked, watch.address, "POST", "part", {"length": "77"})
            time.sleep(0.5)
            assert "stamp" in json.loads(asked(watch.address, "GET", "stamp")[1])
            assert time.monotonic() - began < 3.5
            assert "took longer than 4 s and was stopped" in json.loads(looping.result()[1])["error"]
        assert json.loads(asked(watch.address, "POST", "part", {"length": "100"})[1])["mass"] == "31.40 g"


def test_a_tab_that_is_closed_and_idle_connections_are_no_trouble(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """Nothing is printed; idle connections are closed after a while, and of too many the last at once."""
    monkeypatch.setattr("formparts.watch.server._Handler.timeout", 1.0)
    with watching("z_clip") as watch:
        port = urlsplit(watch.address).port or 0
        before = threading.active_count()
        idle = [socket.create_connection(("127.0.0.1", port), timeout=20) for _ in range(100)]
        time.sleep(0.3)
        assert threading.active_count() - before <= MOST_CONNECTIONS
        began = time.monotonic()
        assert [link.recv(1) for link in idle] == [b""] * 100
        assert time.monotonic() - began < 15
        for link in idle:
            link.close()
        gone = socket.create_connection(("127.0.0.1", port))
        gone.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))  # closed with a reset
        gone.sendall(
            f"GET {urlsplit(watch.address).path} HTTP/1.0\r\nHost: 127.0.0.1:{port}\r\n\r\n".encode()
        )
        gone.close()
        assert asked(watch.address)[0] == 200
    assert capfd.readouterr() == ("", "")


def waited(page: Any, expression: str, wanted: str) -> None:
    """Ask until the answer is there, at most 15 s."""
    until = time.monotonic() + 15.0
    while page.ask(expression) != wanted:
        assert time.monotonic() < until, (page.ask(expression), wanted, page.complaints)
        time.sleep(0.05)
