"""Whatever the schema of the pages and their own forms allow: answered as announced, never 5xx.

The schema does not say what a form holds. The pages do: they are gone through by their links, and
every form found becomes the body of its operation, its choices among what may be sent.
"""

from __future__ import annotations

import re
import shutil
from collections import defaultdict
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urljoin, urlsplit

import httpx
import pytest
import requests
import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from web_page import Page

from fuzzing import LONG, TOKENS
from rimwise.web import working

#: So many pages of a kind are gone through for forms and links.
OF_A_KIND = 3


class Forms(HTMLParser):
    """The forms of a page: where each goes, how it is sent, and what its fields may hold."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.found: list[tuple[str, str, dict[str, set[str]]]] = []
        self._select = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "a" and said.get("href", "").startswith("/"):
            self.links.append(said["href"])
        elif tag == "form":
            self.found.append((said.get("action", ""), said.get("enctype", ""), {}))
            self._select = ""
        elif tag in ("input", "select", "textarea", "button") and self.found and "name" in said:
            kind = "file" if said.get("type") == "file" else ""
            name = f"{said['name']}{kind and ' '}{kind}"
            values = self.found[-1][2].setdefault(name, set())
            if said.get("value"):
                values.add(said["value"])
            self._select = name if tag == "select" else ""
        elif tag == "option" and self._select and said.get("value"):
            self.found[-1][2][self._select].add(said["value"])

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self._select = ""

    def handle_data(self, data: str) -> None:
        if self._select and data.strip() and self.found:
            self.found[-1][2][self._select].add(data.strip())


class Site:
    """The pages of one data file, their schema filled with what their forms and links say."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.schema: dict[str, Any] = page.app.openapi()
        self._patterns = {
            path: re.compile(re.sub(r"\\\{(\w+)\\\}", r"(?P<\1>.+)", re.escape(path)))
            for path in sorted(self.schema["paths"], key=lambda path: ("{" in path, path))
        }
        self._linked: dict[tuple[str, str], set[str]] = defaultdict(set)
        self._go_through()
        self._name_what_is_linked()

    def cases(self) -> dict[str, st.SearchStrategy[schemathesis.Case]]:
        """Return what may be sent to each operation, by its method and path."""
        schema = schemathesis.openapi.from_dict(self.schema)
        found = [one.ok() for one in schema.get_all_operations()]
        return {f"{one.method} {one.path}": one.as_strategy() for one in found}

    def answer(self, case: schemathesis.Case) -> httpx.Response:
        asked = requests.Request(**case.as_transport_kwargs(base_url="http://127.0.0.1")).prepare()
        return self.page.ask(asked.method, asked.url, content=asked.body, headers=asked.headers)

    def _template(self, path: str) -> tuple[str, dict[str, str]] | None:
        for template, pattern in self._patterns.items():
            if found := pattern.fullmatch(path):
                return template, found.groupdict()
        return None

    def _go_through(self) -> None:
        waiting = ["/", *(path for path in self._patterns if "{" not in path)]
        seen: dict[str, set[str]] = defaultdict(set)
        while waiting:
            link = waiting.pop(0).split("#")[0]
            matched = self._template(unquote(urlsplit(link).path))
            if matched is None or link in seen[matched[0]] or len(seen[matched[0]]) >= OF_A_KIND:
                continue
            seen[matched[0]].add(link)
            for name, value in matched[1].items():
                self._linked[matched[0], name].add(value)
            if "get" not in self.schema["paths"][matched[0]]:
                continue
            forms = Forms(self.page.get(link).text)
            waiting += forms.links
            for action, encoding, fields in forms.found:
                self._add_form(unquote(urlsplit(urljoin(link, action)).path), encoding, fields)

    def _add_form(self, path: str, encoding: str, fields: dict[str, set[str]]) -> None:
        matched = self._template(path)
        if matched is None or "post" not in self.schema["paths"][matched[0]]:
            return
        for name, value in matched[1].items():
            self._linked[matched[0], name].add(value)
        operation = self.schema["paths"][matched[0]]["post"]
        kind = encoding or "application/x-www-form-urlencoded"
        content = operation.setdefault("requestBody", {"content": {}})["content"]
        form = content.setdefault(kind, {"schema": {"type": "object", "properties": {}}})
        for called, values in fields.items():
            name, _, file = called.partition(" ")
            said = {"type": "string", "format": "binary"} if file else one_of(sorted(values)[:40])
            form["schema"]["properties"][name] = said
            form["schema"]["additionalProperties"] = False

    def _name_what_is_linked(self) -> None:
        for (template, name), values in self._linked.items():
            for operation in self.schema["paths"][template].values():
                for said in operation.get("parameters", ()):
                    if said["in"] == "path" and said["name"] == name:
                        said["schema"] = one_of(sorted(values)[:40])


def one_of(values: list[str]) -> dict[str, Any]:
    """Return the schema of a text: one of those seen, one that means trouble, or any."""
    return {"anyOf": [{"enum": values or [""]}, {"enum": list(TOKENS)}, {"type": "string"}]}


@pytest.fixture(scope="module")
def site(_seasons: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    data = shutil.copy(_seasons / "tiny.db", tmp_path_factory.mktemp("pages") / "season.db")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(working.Worker, "_run", lambda _, job: setattr(job, "state", "cancelled"))
        page = Page(Path(data))
        page.ask("POST", "/log/throw", data={"disc": "nh27-gold", "text": "64m 5L"})
        yield Site(page)


@pytest.fixture(scope="module")
def cases(site: Site) -> dict[str, st.SearchStrategy[schemathesis.Case]]:
    return site.cases()


def test_forms_and_links_are_found(site):
    posts = {path: one["post"] for path, one in site.schema["paths"].items() if "post" in one}
    found = {path for path, one in posts.items() if "requestBody" in one}
    assert {"/disc/{name}", "/log/{kind}", "/import", "/plan", "/log/edit/{called}"} <= found
    assert len(found) > 0.6 * len(posts)


@settings(
    max_examples=4_000 if LONG else 1_500,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    print_blob=True,
)
@given(data=st.data())
def test_any_request_is_answered_as_announced(site, cases, data):
    called = data.draw(st.sampled_from(sorted(cases)))
    case = data.draw(cases[called])
    answer = site.answer(case)
    announced = case.operation.definition.raw["responses"]
    assert str(answer.status_code) in announced, (called, answer.text[-600:])
    assert answer.status_code < 500
    if answer.headers.get("content-type", "").startswith("text/html"):
        assert "<script>" not in answer.text


@pytest.mark.parametrize(
    ("path", "field"),
    [
        ("/plan", "limit"),
        ("/plan", "at_least"),
        ("/log/round", "score:1"),
        ("/records/undo", "step"),
    ],
)
def test_a_number_without_end_is_refused(site, path, field):
    """Python refuses to make a number of so many digits, in words of its own."""
    words = "putter:" if field == "at_least" else ""
    typed = {
        "conditions": "winter",
        "course": "course",
        "limit": "4",
        field: f"{words}0001{'1' * 5_000}",
    }
    assert site.page.ask("POST", path, data=typed).status_code == 400
