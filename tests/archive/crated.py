"""Words to hold a folder to the RO-Crate validator without a network.

The validator looks the JSON-LD context up in a cache; the context itself comes with the package ``rocrate``.
"""

import io
import warnings
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import requests
import requests_cache
import rocrate
from rocrate_validator import services
from urllib3 import HTTPResponse

CONTEXT = "https://w3id.org/ro/crate/1.3/context"
PROFILE = "ro-crate-1.3"


def issues(folder: Path, cache: Path, severity: str) -> Iterator[tuple[str, str, str]]:
    """Yield what the validator has to say: which check, what, of which thing."""
    _fill(cache)
    settings = {
        "rocrate_uri": str(folder),
        "profile_identifier": PROFILE,
        "requirement_severity": severity,
        "offline": True,
        "cache_path": str(cache),
    }
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # of packages that the validator is made of
        result = services.validate(settings)
    for issue in result.get_issues():
        yield issue.check.identifier, issue.message or "", issue.violatingEntity or ""


def _fill(cache: Path) -> None:
    """Put the context into a cache, as if it had been fetched."""
    content = (Path(rocrate.__file__).parent / "data" / "ro-crate.jsonld").read_bytes()
    headers = {"Content-Type": "application/ld+json"}
    request = requests.Request("GET", CONTEXT, headers={"Accept": "application/ld+json"}).prepare()
    answer = requests.Response()
    answer.status_code, answer.url, answer.request = 200, CONTEXT, request
    answer.headers.update(headers)
    answer.raw = HTTPResponse(
        io.BytesIO(content), headers=headers, status=200, request_url=CONTEXT, preload_content=False
    )
    with closing(requests_cache.CachedSession(str(cache), backend="sqlite", expire_after=-1)) as session:
        session.cache.save_response(answer, cache_key=session.cache.create_key(request))
