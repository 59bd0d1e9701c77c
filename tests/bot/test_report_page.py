"""The moderators' page: whole in one file, and in a real browser readable by anybody, with nothing fetched."""

import asyncio
import json
import re
import shutil
import subprocess
from functools import partial
from html.parser import HTMLParser
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from itertools import pairwise
from threading import Thread

import pytest
from invented_club import invent

from bot.compose import compose
from bot.settings import Settings
from bot.statistics import write_report
from core.cases.store import Store
from core.errors import UnusableInput
from core.words import load_words

CLUB = "invented-page-club"
BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = (
    *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--hide-scrollbars"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-extensions"),
)
in_a_browser = pytest.mark.skipif(
    BROWSER is None, reason="no Chromium here (Debian: apt-get install chromium); the page was not opened"
)


@pytest.fixture(scope="module", params=["en", "de"])
def page(request, tmp_path_factory):
    """The page of an invented club, as the command leaves it."""
    folder = tmp_path_factory.mktemp(f"page-{request.param}")

    async def write():
        settings = Settings(database=folder / "cases.db", secret_file=folder / "secret.key")
        store = await Store.open(settings.database)
        await store.add_whole(invent(1800, 1, community=CLUB))
        await store.close()
        words = load_words(request.param)
        async with compose(settings) as house:
            await write_report(house, words, community=CLUB, month="2025-12", out=folder / "page.html")

    asyncio.run(write())
    return folder / "page.html"


class Outline(HTMLParser):
    """What stands in the page: tags with their attributes, in order."""

    def __init__(self, text):
        super().__init__()
        self.tags = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def all(self, tag):
        return [attributes for name, attributes in self.tags if name == tag]


def test_the_page_names_nothing_outside_of_itself(page):
    outline = Outline(page.read_text(encoding="utf-8"))
    links = [value for _, held in outline.tags for name, value in held.items() if name in {"src", "href"}]
    assert links
    assert all(link.startswith(("#", "data:")) for link in links)
    assert not {name for name, _ in outline.tags} & {"script", "iframe", "object", "embed", "video", "audio"}
    assert "url(" not in page.read_text(encoding="utf-8")


def test_the_page_is_in_its_language_with_headings_in_order_and_words_for_every_picture(page):
    outline = Outline(page.read_text(encoding="utf-8"))
    assert outline.all("html")[0]["lang"] in page.parent.name
    levels = [int(name[1]) for name, _ in outline.tags if re.fullmatch(r"h[1-6]", name)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    assert len(outline.all("img")) >= 4
    assert all(re.search(r"\d", one["alt"]) for one in outline.all("img"))


def test_invented_data_is_called_so_above_everything_else(page):
    text = page.read_text(encoding="utf-8")
    assert re.search(r"<h1>.*?</h1>\s*<p[^>]*>(INVENTED DATA|ERFUNDENE DATEN)", text, re.DOTALL)


def test_every_link_of_the_contents_leads_to_a_part(page):
    outline = Outline(page.read_text(encoding="utf-8"))
    ids = {held["id"] for _, held in outline.tags if "id" in held}
    targets = [held["href"].removeprefix("#") for held in outline.all("a")]
    assert len(targets) > 5
    assert set(targets) <= ids


@pytest.mark.parametrize(("month", "code"), [("soon", "not_a_month"), ("2999-01", "month_not_over")])
async def test_a_month_that_cannot_be_reported_is_said(tmp_path, month, code):
    async with compose(Settings(database=tmp_path / "cases.db", secret_file=tmp_path / "secret.key")) as house:
        with pytest.raises(UnusableInput) as refused:
            await write_report(house, load_words("en"), community=CLUB, month=month, out=tmp_path / "page.html")
    assert refused.value.faults[0].code == code


# ---- in a real browser ------------------------------------------------------------------------------


def browse(folder, *arguments):
    """Run the browser on an empty profile and return what it prints."""
    done = subprocess.run(
        [BROWSER, *FLAGS, f"--user-data-dir={folder / 'profile'}", *arguments],
        capture_output=True,
        timeout=120,
        check=True,
    )
    return done.stdout.decode()


class Witness(BaseHTTPRequestHandler):
    """Serves the page and whatever else is asked for from nowhere; remembers every request."""

    def __init__(self, text, asked, *arguments):
        self.text, self.asked = text, asked
        super().__init__(*arguments)

    def do_GET(self):
        """Answer the page, or nothing."""
        self.asked.append(self.path)
        self.send_response(200 if self.path == "/" else 404)
        self.send_header("Content-Type", "text/html; charset=utf-8")
        self.end_headers()
        if self.path == "/":
            self.wfile.write(self.text)

    def log_message(self, *_):
        """Say nothing."""


@pytest.fixture
def served():
    """Serve bytes on this machine; return the address and the list of what was asked for."""
    servers = []

    def serve(text):
        asked = []
        server = ThreadingHTTPServer(("127.0.0.1", 0), partial(Witness, text, asked))
        servers.append(server)
        Thread(target=server.serve_forever, daemon=True).start()
        return f"http://127.0.0.1:{server.server_port}/", asked

    yield serve
    for server in servers:
        server.shutdown()
        server.server_close()


PROBE = """<script>addEventListener('load', () => {
const reached = [...document.querySelectorAll('a,[tabindex]')].filter(one => one.tabIndex >= 0)
  .map(one => one.className === 'skip' ? 'skip' : one.closest('nav') ? 'nav' : one.tagName);
const told = {
  reached, lang: document.documentElement.lang,
  wide: document.documentElement.scrollWidth > innerWidth,
  blank: [...document.images].filter(one => !one.complete || !one.naturalWidth).length,
  pictures: document.images.length, unnamed: [...document.images].filter(one => !one.alt).length,
  fetched: performance.getEntriesByType('resource').map(one => one.name).filter(one => !one.startsWith('data:')),
};
document.title = 'told:' + JSON.stringify(told);
});</script>"""


def measure(page, folder, served, width):
    """Open the page at a width, with a script added that looks at it; return what it saw and what was fetched."""
    text = page.read_text(encoding="utf-8")
    # The policy of the page itself would rightly refuse the script of the test.
    looked_at = text.replace("default-src 'none'", "default-src 'none'; script-src 'unsafe-inline'")
    assert looked_at != text
    address, asked = served(looked_at.replace("</body>", f"{PROBE}</body>").encode())
    dom = browse(folder, f"--window-size={width},900", "--dump-dom", address)
    told = re.search(r"<title>told:(.*?)</title>", dom)
    assert told, "the page was not loaded"
    return json.loads(told[1].replace("&amp;", "&").replace("&quot;", '"')), asked


@in_a_browser
@pytest.mark.parametrize("width", [500, 1200])
def test_in_a_browser_everything_shows_and_nothing_is_fetched(page, tmp_path, served, width):
    """500 px is the narrowest window that headless Chromium opens."""
    seen, asked = measure(page, tmp_path, served, width)
    assert asked == ["/"]
    assert seen["fetched"] == []
    assert seen["pictures"] >= 4
    assert (seen["blank"], seen["unnamed"], seen["wide"]) == (0, 0, False)
    assert seen["lang"] in {"en", "de"}


@in_a_browser
def test_with_the_keyboard_one_comes_to_the_skip_link_first_and_then_to_the_contents(page, tmp_path, served):
    seen, _ = measure(page, tmp_path, served, 1200)
    assert seen["reached"][0] == "skip"
    assert seen["reached"][1:] == ["nav"] * (len(seen["reached"]) - 1)
    assert len(seen["reached"]) > 5


@in_a_browser
def test_a_request_would_be_seen(tmp_path, served):
    """Or the test above could not fail."""
    address, asked = served(b'<!DOCTYPE html><html lang="en"><body><img src="/elsewhere.png" alt="1"></body></html>')
    browse(tmp_path, "--dump-dom", address)
    assert "/elsewhere.png" in asked


@in_a_browser
def test_the_page_prints(page, tmp_path):
    browse(tmp_path, f"--print-to-pdf={tmp_path / 'page.pdf'}", "--no-pdf-header-footer", page.as_uri())
    pdf = (tmp_path / "page.pdf").read_bytes()
    assert pdf.startswith(b"%PDF-")
    assert len(pdf) > 50_000


def test_the_month_of_the_report_is_in_its_title(page):
    assert re.search(r"<title>[^<]*2025-12</title>", page.read_text(encoding="utf-8"))
