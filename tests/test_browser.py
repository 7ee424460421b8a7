"""Pages in a browser: nothing goes wrong or out, they fit a telephone and paper, and all can read.

The accessibility checker is axe-core, with its own rules; what it calls serious or critical fails.
"""

import shutil
from io import BytesIO

import pytest
from blends import standalone
from conftest import printed
from test_golden import COMMANDS
from test_pages import EVIL, wicked_bench

sync_api = pytest.importorskip("playwright.sync_api", reason="needs barwright[browser]")
checker = pytest.importorskip(
    "axe_playwright_python.sync_playwright", reason="needs barwright[browser]"
)
pytest.importorskip("matplotlib", reason="needs barwright[page]")

pytestmark = pytest.mark.slow

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
SCHEMES = ("light", "dark")
TELEPHONE = {"width": 390, "height": 844}
A4 = (595.3, 841.9)
"""Of a sheet [points]."""


@pytest.fixture(scope="module")
def browser():
    found = next((path for name in BROWSERS if (path := shutil.which(name))), None)
    if found is None:
        pytest.skip("no Chromium on this machine")
    with sync_api.sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=found, args=["--no-sandbox"])
        yield opened
        opened.close()


class Visit:
    """A page as a reader opens it, with all that it said and fetched."""

    def __init__(self, browser, path, scheme, size=TELEPHONE):
        self.said, self.fetched = [], []
        self.context = browser.new_context(viewport=size, color_scheme=scheme)
        self.page = self.context.new_page()
        self.page.on("console", lambda message: self.said.append(message.text))
        self.page.on("pageerror", lambda error: self.said.append(str(error)))
        self.page.on("dialog", lambda dialog: (self.said.append(dialog.message), dialog.dismiss()))
        self.page.on("request", lambda request: self.fetched.append(request.url))
        self.page.goto(path.as_uri())

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.context.close()

    def width(self):
        return self.page.evaluate("document.documentElement.scrollWidth")

    def faults(self):
        found = checker.Axe().run(self.page).response["violations"]
        return {
            one["id"]: [node["html"][:120] for node in one["nodes"][:3]]
            for one in found
            if one["impact"] in {"serious", "critical"}
        }


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("name", COMMANDS)
def test_a_page_fits_a_telephone_fetches_nothing_and_all_can_read_it(name, scheme, pages, browser):
    path, _ = pages(name)
    with Visit(browser, path, scheme) as visit:
        assert visit.width() <= TELEPHONE["width"]
        visit.page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        assert visit.width() <= TELEPHONE["width"]
        assert visit.said == []
        assert visit.fetched == [path.as_uri()]
        assert visit.faults() == {}


def test_the_checker_would_find_a_fault(tmp_path, browser):
    path = tmp_path / "faint.html"
    path.write_text(
        '<!DOCTYPE html><html lang="en"><title>t</title><main><h1>t</h1>'
        '<p style="color:#bbb;background:#fff">faint</p><button></button></main>',
        encoding="utf-8",
    )
    with Visit(browser, path, "light") as visit:
        assert set(visit.faults()) == {"color-contrast", "button-name"}


@pytest.mark.parametrize("name", COMMANDS)
def test_a_page_prints_on_sheets_of_a4_that_nothing_sticks_out_of(name, pages, browser):
    pypdf = pytest.importorskip("pypdf", reason="needs barwright[browser]")
    path, _ = pages(name)
    with Visit(browser, path, "dark") as visit:
        sheets = pypdf.PdfReader(BytesIO(visit.page.pdf(prefer_css_page_size=True))).pages
        visit.page.emulate_media(media="print")
        visit.page.set_viewport_size({"width": 688, "height": 1000})  # 182 mm between the margins
        assert visit.width() <= 688
        ground = "getComputedStyle(document.documentElement).backgroundColor"
        assert visit.page.evaluate(ground) == "rgb(255, 255, 255)"
    assert 1 <= len(sheets) <= 9
    for sheet in sheets:
        size = (float(sheet.mediabox.width), float(sheet.mediabox.height))
        assert size == pytest.approx(A4, abs=1.0)
        assert sheet.extract_text().strip()


@pytest.mark.parametrize("scheme", SCHEMES)
def test_dark_is_dark_and_light_is_light_and_pictures_follow(scheme, pages, browser):
    path, _ = pages("check-oily")
    with Visit(browser, path, scheme) as visit:
        ground, ink = visit.page.evaluate(
            """() => [
              getComputedStyle(document.documentElement).backgroundColor,
              getComputedStyle(document.querySelector('svg.picture text')).fill,
            ].map(c => c.match(/\\d+/g).map(Number).reduce((a, b) => a + b) / 765)"""
        )
    assert (ground < 0.2 and ink > 0.6) if scheme == "dark" else (ground > 0.9 and ink < 0.3)


@pytest.mark.parametrize("scheme", SCHEMES)
def test_the_sheet_of_a_batch_can_be_read_on_a_telephone_too(scheme, tmp_path, browser):
    path = tmp_path / "sheet.html"
    printed((*COMMANDS["batch-oily"], "--html", str(path)))
    with Visit(browser, path, scheme) as visit:
        assert visit.width() <= TELEPHONE["width"]
        assert visit.said == []
        assert visit.faults() == {}


@pytest.mark.parametrize("scheme", SCHEMES)
def test_the_pages_of_a_bench_lead_there_and_back(scheme, tmp_path, browser):
    bench, into = tmp_path / "bench", tmp_path / "pages"
    standalone(bench)
    for path in (bench / "formulas").glob("*"):
        path.unlink()
    printed(("page", str(bench), "--into", str(into)))
    with Visit(browser, into / "index.html", scheme) as visit:
        assert visit.width() <= TELEPHONE["width"]
        assert visit.faults() == {}
        visit.page.get_by_role("link", name="The cheapest composition").click()
        assert visit.page.locator("h1").inner_text() == "The cheapest composition"
        visit.page.get_by_role("navigation", name="Where this belongs").get_by_role("link").click()
        assert visit.page.url == (into / "index.html").as_uri()
        assert visit.said == []
        assert all(url.startswith(into.as_uri()) for url in visit.fetched)


def test_names_are_shown_as_they_are_and_nothing_runs(tmp_path, browser):
    path = wicked_bench(tmp_path)
    with Visit(browser, path, "light") as visit:
        assert visit.said == []
        assert visit.page.locator("script").count() == 0
        assert EVIL in visit.page.locator("body").inner_text()
        assert EVIL in " ".join(visit.page.locator("svg text").all_text_contents())
        assert visit.width() <= TELEPHONE["width"]


def test_the_keyboard_reaches_the_content_first_and_every_table(pages, browser):
    path, _ = pages("check-oily")
    with Visit(browser, path, "light") as visit:
        visit.page.keyboard.press("Tab")
        assert visit.page.evaluate("document.activeElement.className") == "skip"
        visit.page.keyboard.press("Enter")
        assert visit.page.evaluate("document.activeElement.id") == "content"
        reached = set()
        for _ in range(80):
            visit.page.keyboard.press("Tab")
            reached.add(visit.page.evaluate("document.activeElement.getAttribute('aria-label')"))
        shown = visit.page.locator(".full .scroll").all()
        assert {one.get_attribute("aria-label") for one in shown} <= reached
