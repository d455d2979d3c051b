"""Pages are light and hold nothing inline, so that a phone in a garage gets them and the CSP stays strict."""

import gzip
import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders

from intake.steps import PAGES
from tests.intake.at_form import address, begin

INLINE = re.compile(r"<script(?![^>]*\ssrc=)|<style|\sstyle=|\son[a-z]+=|javascript:", re.IGNORECASE)


@pytest.mark.django_db
def test_the_first_page_of_the_form_with_all_it_loads_stays_under_60_kb(client):
    request = begin(client)
    page = client.get(address(request, "safety"))
    total = len(gzip.compress(page.content))
    linked = re.findall(r'(?:href|src)="/static/([^"]+)"', page.content.decode())
    assert any(name.endswith(".css") for name in linked)
    for name in linked:
        raw = Path(finders.find(name)).read_bytes()
        total += len(gzip.compress(raw))
        if name.endswith(".css"):
            for font in re.findall(r'url\("([^"]+)"\)', raw.decode()):
                if "-ext-" not in font:  # fetched only for letters beyond Latin-1
                    total += (Path(finders.find(name)).parent / font).stat().st_size
    assert total < 60_000


@pytest.mark.django_db
def test_no_page_holds_script_style_or_handler(client):
    request = begin(client)
    pages = [client.get(url) for url in ("/", "/lost-link/", "/nowhere/")]
    pages += [client.get(address(request, step)) for step in PAGES]
    for page in pages:
        assert not INLINE.search(page.content.decode())
        assert "default-src 'none'" in page["Content-Security-Policy"]
