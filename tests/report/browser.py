"""A headless Chromium for tests of pages: skipped with a reason where it is absent, demanded where CI=true."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import sync_playwright


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if found is None:
        if os.environ.get("CI") == "true":
            pytest.fail("CI must have a Chromium")
        pytest.skip("no Chromium on this machine")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=["--no-sandbox"])
        yield browser
        browser.close()


def axe_violations(browser: Any, path: Path) -> list[str]:
    """Return what axe finds against the page, as `rule: element`."""
    page = browser.new_page()
    page.goto(path.as_uri())
    found = Axe().run(page).response["violations"]
    page.close()
    return [f"{each['id']}: {node['target']}" for each in found for node in each["nodes"]]


def overflows_at(browser: Any, path: Path, width: int) -> bool:
    """Say whether the page must be scrolled sideways at this width."""
    page = browser.new_page(viewport={"width": width, "height": 800})
    page.goto(path.as_uri())
    wide = page.evaluate("document.documentElement.scrollWidth")
    page.close()
    return bool(wide > width)


def pages_on_paper(browser: Any, path: Path, paper: str) -> int:
    """Return how many sheets the page prints on."""
    page = browser.new_page()
    page.goto(path.as_uri())
    printed = page.pdf(format=paper)
    page.close()
    return len(re.findall(rb"/Type\s*/Page[^s]", printed))
