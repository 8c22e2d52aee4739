"""A fingerprint of what a kit was made from, the same whatever files it was read from."""

import hashlib
import json
from decimal import Decimal
from typing import Any

from equipsel.site import Site


def inputs_sha256(site: Site) -> str:
    """SHA-256 of every row and rule of a site, in hexadecimal; where its catalog was found does not count."""
    tables = [site.scenario.model_dump(exclude={"catalog"}), site.catalog.model_dump()]
    text = json.dumps(tables, default=_plain, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8", errors="surrogatepass")).hexdigest()


def _plain(value: Any) -> str:
    """A number without the zeros at its end, which depend on how it was written."""
    assert isinstance(value, Decimal), "the tables hold text, whole numbers, yes, no and decimals"
    return format(value.normalize(), "f")
